#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <tl/expected.hpp>

namespace host::signal {

/// The bytes of an EDID file: as they are when they start with 00h FFh, else pairs of hexadecimal digits with
/// blanks, line ends or commas between them or none, "0x" ahead of a pair allowed, and lines that start with
/// '#' left out.
///
/// Errors   one sentence with line and column: a character that is no digit, half a byte, more than 32768
/// bytes.
[[nodiscard]] tl::expected<std::vector<std::uint8_t>, std::string> parse_edid_file(std::string_view text);

/// Sixteen bytes a line, "00 FF …", each line ended.
[[nodiscard]] std::string edid_file_text(std::span<const std::uint8_t> bytes);

}  // namespace host::signal
