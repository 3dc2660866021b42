#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace tests {

/// The EDIDs of tests/vectors/edid, by name.
inline constexpr std::array<const char*, 4> kGoldenEdids = {"qzx-panel-1280x800", "zqj-hdmi-1920x1080",
                                                            "xqv-vga-1024x768", "qjx-bar-1920x360"};

/// The bytes of one; none when it can't be read.
std::vector<std::uint8_t> golden_edid(const std::string& name);

/// Mends the checksum of every whole block.
void mend_checksums(std::vector<std::uint8_t>& bytes);

}  // namespace tests
