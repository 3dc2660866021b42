#include "host/verify/edid_file.hpp"

#include <algorithm>
#include <array>
#include <cstddef>

#include "host/link/plan/plan.hpp"

namespace host::verify {
namespace {

constexpr std::uint16_t kEdidFile = 16;
constexpr std::uint16_t kBlockWords = 64;
constexpr std::size_t kExtensionCount = 126;

// Refused because it isn't there: no such function, file or record. Anything else, and nothing is known of
// it.
bool is_absent(const link::LinkError& error) {
  constexpr std::uint8_t kIllegalDataValue = 3;
  return error.fault == link::Fault::kRefused && error.exception_code.value_or(1) <= kIllegalDataValue;
}

/// A file's words from the first on.
class File {
 public:
  File(Reader& reader, std::uint16_t number) : reader_{reader}, number_{number} {}

  /// Reads on until [0, end) is there: at once, or in pieces where the line has shown bad frames. False where
  /// the file doesn't go so far.
  link::Result<bool> read_to(std::uint16_t end) {
    const auto size = static_cast<std::uint16_t>(words_.size());
    link::plan::Wish wish;
    wish.wanted = {{size, static_cast<std::uint16_t>(end - size)}};
    wish.readable = {{0, end}};
    wish.count_max = block_count_max(reader_);
    wish.count_before = count_before_;
    for (const link::plan::Span& piece : plan_reads(wish, read_costs(reader_.line_cost()))) {
      count_before_ = piece.count;
      const auto words =
          reader_.read_files(std::array{protocol::pdu::FileRecord{number_, piece.address, piece.count}});
      if (!words && is_absent(words.error())) {
        words_.resize(size);
        return false;
      }
      if (!words) return tl::unexpected{words.error()};
      words_.resize(piece.end());
      std::copy_n(words->begin(), std::min<std::size_t>(words->size(), piece.count),
                  words_.begin() + piece.address);
    }
    return true;
  }

  [[nodiscard]] std::vector<std::uint8_t> octets() const {
    std::vector<std::uint8_t> octets;
    octets.reserve(2 * words_.size());
    for (const std::uint16_t word : words_) {
      octets.push_back(static_cast<std::uint8_t>(word >> 8));
      octets.push_back(static_cast<std::uint8_t>(word & 0xFFU));
    }
    return octets;
  }

 private:
  Reader& reader_;
  std::uint16_t number_;
  std::uint16_t count_before_ = 0;
  std::vector<std::uint16_t> words_;
};

}  // namespace

link::Result<std::vector<std::uint8_t>> read_edid(Reader& reader, std::uint16_t input) {
  File file{reader, static_cast<std::uint16_t>(kEdidFile + input)};
  auto there = file.read_to(kBlockWords);
  if (there && *there && file.octets()[kExtensionCount] != 0) there = file.read_to(2 * kBlockWords);
  if (!there) return tl::unexpected{there.error()};
  return file.octets();
}

}  // namespace host::verify
