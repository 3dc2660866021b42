#pragma once

#include <array>
#include <cstdint>

#include "protocol/base/time.hpp"
#include "protocol/pdu/function.hpp"
#include "protocol/rtu/line_timing.hpp"

namespace host::link::plan {

/// What a read costs on a line.
struct LineCost {
  protocol::rtu::LineTiming timing;
  /// From the last octet of a request to the first of its answer, as measured on this link: the unit's
  /// turnaround and what the adapter holds back.
  protocol::base::Duration turnaround{};
  /// How many of a million octets come damaged, as seen so far; a damaged octet costs the whole exchange
  /// again.
  std::uint32_t damaged_per_million = 0;
};

/// The damage of a line on which `frames_bad` frames were bad among `octets` received. Frames are damaged by
/// one octet here; that is the least there can have been.
[[nodiscard]] std::uint32_t damaged_per_million(std::uint64_t frames_bad, std::uint64_t octets);

/// Expected time of one read by its number of registers or bits, in microseconds; the number 0 isn't used.
using ReadCosts = std::array<double, protocol::pdu::kReadRegistersMax + 1>;

/// What a table holds by address.
enum class Cell : std::uint8_t { kRegister, kBit };

/// Request of 8 octets, answer of 5 and two a register (one for eight bits), a silence before each, the
/// turnaround; that divided by the chance that every octet comes sound. Source  MODBUS over Serial Line
/// V1.02, 2.5.1 and 2.5.1.1; AP V1.1b3, 6.1 and 6.3 (lengths).
[[nodiscard]] ReadCosts read_costs(const LineCost& line, Cell cell = Cell::kRegister);

/// The most registers of which a read comes damaged at most `percent` times of a hundred, by what the line
/// has shown; within 1..125. Whoever is held to a share of bad frames reads no more at once.
[[nodiscard]] std::uint16_t count_within(const LineCost& line, double percent);

}  // namespace host::link::plan
