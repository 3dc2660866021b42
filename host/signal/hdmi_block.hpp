#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "host/signal/edid.hpp"

namespace host::signal {

/// The vendor block that makes a sink an HDMI one: OUI 00-0C-03, which stands low byte first.
[[nodiscard]] inline bool is_hdmi_block(const DataBlock& block) {
  return block.tag == kVendorTag && block.payload.size() >= 3 && block.payload[0] == 0x03 &&
         block.payload[1] == 0x0C && block.payload[2] == 0x00;
}

/// The physical address in an HDMI vendor block, as "1.0.0.0"; none in other or shorter blocks.
[[nodiscard]] inline std::optional<std::string> hdmi_address(const DataBlock& block) {
  if (!is_hdmi_block(block) || block.payload.size() < 5) return std::nullopt;
  const int high = block.payload[3];
  const int low = block.payload[4];
  return std::to_string(high >> 4) + '.' + std::to_string(high & 15) + '.' + std::to_string(low >> 4) + '.' +
         std::to_string(low & 15);
}

}  // namespace host::signal
