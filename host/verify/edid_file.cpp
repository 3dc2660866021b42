#include "host/verify/edid_file.hpp"

#include <array>
#include <cstddef>

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

link::Result<std::vector<std::uint8_t>> read_octets(Reader& reader, const protocol::pdu::FileRecord& group) {
  const auto words = reader.read_files(std::array{group});
  std::vector<std::uint8_t> octets;
  if (!words) {
    if (!is_absent(words.error())) return tl::unexpected{words.error()};
    return octets;
  }
  for (const std::uint16_t word : *words) {
    octets.push_back(static_cast<std::uint8_t>(word >> 8));
    octets.push_back(static_cast<std::uint8_t>(word & 0xFFU));
  }
  return octets;
}

}  // namespace

link::Result<std::vector<std::uint8_t>> read_edid(Reader& reader, std::uint16_t input) {
  const auto file = static_cast<std::uint16_t>(kEdidFile + input);
  auto edid = read_octets(reader, {file, 0, kBlockWords});
  if (!edid || edid->size() < 2 * std::size_t{kBlockWords} || (*edid)[kExtensionCount] == 0) return edid;
  const auto more = read_octets(reader, {file, kBlockWords - 1, kBlockWords + 1});
  if (!more) return tl::unexpected{more.error()};
  if (!more->empty()) edid->insert(edid->end(), more->begin() + 2, more->end());
  return edid;
}

}  // namespace host::verify
