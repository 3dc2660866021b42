#pragma once

#include <cstdint>
#include <string>

namespace host::signal {

/// A byte as standards print it: "0Ah".
[[nodiscard]] inline std::string hex(std::uint8_t byte) {
  constexpr const char* digits = "0123456789ABCDEF";
  return {digits[byte >> 4], digits[byte & 15], 'h'};
}

}  // namespace host::signal
