#pragma once

#include <cstdint>
#include <optional>

#include "sim/line/character.hpp"

namespace sim::port {

/// The speed a terminal is set to, also one that no name stands for. Nothing when it can't be told or is 0.
[[nodiscard]] std::optional<std::uint32_t> terminal_speed(int fd);

/// Makes a terminal raw, of this format, without flow control. False when the system refused; a
/// pseudo-terminal takes all of it but parity.
[[nodiscard]] bool set_terminal(int fd, const line::CharacterFormat& format);

}  // namespace sim::port
