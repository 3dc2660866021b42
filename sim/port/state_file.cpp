#include "sim/port/state_file.hpp"

#include <array>
#include <cerrno>
#include <charconv>
#include <cstdio>
#include <cstring>

#include <fcntl.h>
#include <unistd.h>

#include "sim/port/durable_file.hpp"

namespace sim::port {
namespace {

constexpr std::string_view kMagic = "strapline-state 1 ";
constexpr std::size_t kHeadMax = 80;

struct Saved {
  std::uint64_t generation = 0;
  std::string octets;
};

template <typename Number>
bool take(std::string_view& text, Number& number, int base, char behind) {
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number, base);
  if (error != std::errc{} || end == text.data() + text.size() || *end != behind) return false;
  text.remove_prefix(static_cast<std::size_t>(end - text.data()) + 1);
  return true;
}

std::string sealed(std::uint64_t generation, std::string_view octets) {
  const std::string counted = std::to_string(generation) + '\n' + std::string{octets};
  std::array<char, 16> crc{};
  std::snprintf(crc.data(), crc.size(), "%08x", crc32(counted));
  return std::string{kMagic} + std::to_string(generation) + ' ' + std::to_string(octets.size()) + ' ' +
         crc.data() + '\n' + std::string{octets};
}

std::optional<Saved> unsealed(std::string_view text) {
  if (!text.starts_with(kMagic)) return std::nullopt;
  text.remove_prefix(kMagic.size());
  Saved saved;
  std::size_t size = 0;
  std::uint32_t crc = 0;
  if (!take(text, saved.generation, 10, ' ') || !take(text, size, 10, ' ') || !take(text, crc, 16, '\n')) {
    return std::nullopt;
  }
  if (text.size() != size || crc32(std::to_string(saved.generation) + '\n' + std::string{text}) != crc) {
    return std::nullopt;
  }
  saved.octets = text;
  return saved;
}

enum class Found { kNone, kWhole, kDamaged };

tl::expected<Found, std::string> read(const std::string& path, Saved& saved) {
  const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  const auto failed = [&] {
    return tl::unexpected(path + ": " + std::strerror(errno));  // NOLINT(concurrency-mt-unsafe): one thread
  };
  if (fd < 0) return errno == ENOENT ? tl::expected<Found, std::string>{Found::kNone} : failed();
  std::string text(StateFile::kSizeMax + kHeadMax + 1, '\0');
  std::size_t size = 0;
  while (size < text.size()) {
    const ssize_t got = ::read(fd, text.data() + size, text.size() - size);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) {
      const auto error = failed();
      ::close(fd);
      return error;
    }
    if (got == 0) break;
    size += static_cast<std::size_t>(got);
  }
  ::close(fd);
  text.resize(size);
  auto one = unsealed(text);
  if (!one) return Found::kDamaged;
  saved = *std::move(one);
  return Found::kWhole;
}

}  // namespace

std::uint32_t crc32(std::string_view octets) {
  std::uint32_t crc = 0xFFFFFFFF;
  for (const char c : octets) {
    crc ^= static_cast<unsigned char>(c);
    for (int bit = 0; bit < 8; ++bit) crc = (crc & 1U) != 0 ? (crc >> 1) ^ 0xEDB88320U : crc >> 1;
  }
  return ~crc;
}

StateFile::StateFile(const std::string& path) : path_{end_of_link(path)} {}

tl::expected<StateFile::Loaded, std::string> StateFile::load() {
  Loaded loaded;
  if (!is_ordinary_or_new(path_)) return tl::unexpected(path_ + ": not an ordinary file");
  for (const char* const behind : {"", ".old", ".new"}) {
    Saved saved;
    const auto found = read(path_ + behind, saved);
    if (!found) return tl::unexpected(found.error());
    if (*found == Found::kNone) continue;
    if (*found == Found::kDamaged) {
      // A half-written FILE.new is how a kill looks, and nothing was lost by it.
      if (std::string_view{behind} != ".new") loaded.damaged = true;
      continue;
    }
    if (loaded.octets && saved.generation < generation_) continue;
    generation_ = saved.generation;
    loaded.octets = std::move(saved.octets);
  }
  return loaded;
}

tl::expected<void, std::string> StateFile::save(std::string_view octets) {
  if (octets.size() > kSizeMax) return tl::unexpected(path_ + ": more than a memory holds");
  const std::string next = path_ + ".new";
  // replace_file() makes FILE.new whole under a name of its own first.
  if (auto written = replace_file(next, sealed(generation_ + 1, octets), Durable::kYes); !written)
    return written;
  if (::rename(path_.c_str(), (path_ + ".old").c_str()) != 0 && errno != ENOENT) {
    return tl::unexpected(path_ + ": " + std::strerror(errno));  // NOLINT(concurrency-mt-unsafe): one thread
  }
  if (::rename(next.c_str(), path_.c_str()) != 0) {
    return tl::unexpected(path_ + ": " + std::strerror(errno));  // NOLINT(concurrency-mt-unsafe): one thread
  }
  ++generation_;
  return {};
}

}  // namespace sim::port
