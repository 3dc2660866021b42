#include "host/cli/output.hpp"

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstring>
#include <filesystem>
#include <system_error>
#include <utility>

#include <unistd.h>

#include "host/report/document.hpp"

namespace host::cli {
namespace {

std::string reason(int error) {
  return std::generic_category().message(error);
}

Failure failure(ExitCode code, std::string message) {
  return {code, {std::move(message)}};
}

Failure not_created(const std::string& path, int error) {
  const std::string why = error == EINVAL ? "not an ordinary file" : reason(error);
  return failure(ExitCode::kCantCreate, "can't create " + path + ": " + why + "; " + way_out(error));
}

namespace fs = std::filesystem;

constexpr int kLinksMax = 40;  // as many as the kernel follows

// Where a path's file is, at the end of its links, whether or not it is there yet. Errors: an errno, EINVAL
// for what is no ordinary file.
tl::expected<std::string, int> place_of(const std::string& path) {
  fs::path place = path;
  std::error_code why;
  int links = 0;
  for (; fs::is_symlink(fs::symlink_status(place, why)); ++links) {
    if (links == kLinksMax) return tl::unexpected{ELOOP};
    const fs::path target = fs::read_symlink(place, why);
    if (why) return tl::unexpected{why.value()};
    place = place.parent_path() / target;  // an absolute target stands for itself
  }
  const fs::file_status status = fs::status(place, why);
  if (fs::is_directory(status)) return tl::unexpected{EISDIR};
  if (fs::exists(status) && !fs::is_regular_file(status)) return tl::unexpected{EINVAL};
  return place.string();
}

// Who may read the file that is there may read the one that takes its place.
void keep_mode(const std::string& place, const std::string& beside) {
  std::error_code ignored;
  const fs::file_status status = fs::status(place, ignored);
  if (fs::exists(status)) fs::permissions(beside, status.permissions() & fs::perms::all, ignored);
}

// A word longer than this is no name that a person wrote; its ends tell which it was.
constexpr std::size_t kWordMax = 200, kWordFront = 120, kWordBack = 40;
constexpr std::size_t kLineMax = 2000;

// The last place not behind `at` where a character begins.
std::size_t boundary(std::string_view text, std::size_t at) {
  while (at > 0 && at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U) --at;
  return at;
}

std::string shortened(std::string_view line) {
  std::string out;
  while (!line.empty()) {
    const std::size_t end = std::min(line.find(' '), line.size());
    const std::string_view word = line.substr(0, end);
    if (word.size() <= kWordMax) {
      out += word;
    } else {
      out += word.substr(0, boundary(word, kWordFront));
      out += "…";
      out += word.substr(boundary(word, word.size() - kWordBack));
    }
    if (end < line.size()) out += ' ';
    line.remove_prefix(std::min(end + 1, line.size()));
  }
  if (out.size() <= kLineMax) return out;
  return out.substr(0, boundary(out, kLineMax)) + "…";
}

}  // namespace

bool settle_standard_streams() {
  bool output_open = true;
  for (int descriptor = STDIN_FILENO; descriptor <= STDERR_FILENO; ++descriptor) {
    if (dup2(descriptor, descriptor) == descriptor) continue;
    if (descriptor == STDOUT_FILENO) output_open = false;
    // The lowest free descriptor is this one; it stays open for as long as the program runs.
    [[maybe_unused]] const std::FILE* kept = std::fopen("/dev/null", "r+");
  }
  std::signal(SIGPIPE, SIG_IGN);
  return output_open;
}

tl::expected<void, Failure> answer(std::string_view text) {
  while (!text.empty()) {
    const ssize_t written = write(STDOUT_FILENO, text.data(), text.size());
    if (written < 0 && errno != EINTR)
      return tl::unexpected{
          failure(ExitCode::kInputOutput, "can't write to standard output: " + reason(errno))};
    text.remove_prefix(static_cast<std::size_t>(std::max<ssize_t>(written, 0)));
    // A write that ends early was interrupted, as a rule; to write on could wait for ever.
    if (const int signal = signal_asked(); signal != 0 && !text.empty())
      return tl::unexpected{Failure{static_cast<ExitCode>(128 + signal), {}}};
  }
  return {};
}

std::string octets_text(std::span<const std::uint8_t> octets) {
  return {octets.begin(), octets.end()};
}

void complain(const Failure& failure) {
  std::string text;
  for (std::string_view message : failure.messages) {
    text += "strapline: ";
    while (true) {  // line by line, since each is cleaned of what would end it
      const std::size_t end = message.find('\n');
      text += report::cleaned(shortened(message.substr(0, end))) + '\n';
      if (end == std::string_view::npos || end + 1 == message.size()) break;
      message.remove_prefix(end + 1);
    }
  }
  std::fputs(text.c_str(), stderr);
}

std::string way_out(int error) {
  switch (error) {
    case ENOSPC:
    case EDQUOT:
    case EFBIG: return "free space, or name another place";
    case ENOENT: return "make its folder first, or name another place";
    case EISDIR: return "name a file in it";
    case EACCES:
    case EPERM:
    case EROFS: return "name a place that you may write to";
    default: return "name another place";
  }
}

tl::expected<PendingFile, Failure> PendingFile::create(const std::string& path) {
  PendingFile pending;
  pending.path_ = path;
  const auto place = place_of(path);
  if (!place) return tl::unexpected{not_created(path, place.error())};
  pending.place_ = *place;
  const std::string beside = pending.place_ + ".new-" + std::to_string(getpid());
  pending.file_.reset(std::fopen(beside.c_str(), "wxe"));
  if (pending.file_ == nullptr) return tl::unexpected{not_created(path, errno)};
  pending.beside_ = std::make_unique<PassingFile>(beside);
  keep_mode(pending.place_, beside);
  return pending;
}

tl::expected<void, Failure> PendingFile::commit(std::string_view text) {
  errno = 0;
  const bool written = std::fwrite(text.data(), 1, text.size(), file_.get()) == text.size() &&
                       std::fflush(file_.get()) == 0 && fsync(fileno(file_.get())) == 0;
  if (!written) {
    const int error = errno;
    return tl::unexpected{failure(ExitCode::kInputOutput,
                                  "can't write " + path_ + ": " + reason(error) + "; " + way_out(error))};
  }
  file_.reset();
  if (std::rename(beside_->path().c_str(), place_.c_str()) != 0)
    return tl::unexpected{not_created(path_, errno)};
  beside_.reset();
  return {};
}

}  // namespace host::cli
