#pragma once

#include <cstdint>
#include <string>

#include <tl/expected.hpp>

#include "protocol/rtu/line_timing.hpp"
#include "sim/line/line.hpp"
#include "sim/port/pseudo_terminal.hpp"
#include "sim/unit/registers.hpp"
#include "sim/unit/unit.hpp"

namespace sim::port {

/// The parts a running simulator is made of; all outlive serve().
struct Served {
  unit::Unit& unit;
  unit::Registers& registers;
  line::Line& line;
  PseudoTerminal& terminal;
  std::uint8_t address = 1;
  protocol::rtu::LineTiming timing;
};

/// Signals that end the simulator in order. Call before the terminal's link can be seen, so that none is
/// missed.
void hold_signals();

/// Answers on the terminal until a signal comes, with the unit's time going on from where it is as real time
/// does. Returns  the number of the signal. Errors: one line, exit code 74.
[[nodiscard]] tl::expected<int, std::string> serve(const Served& served);

}  // namespace sim::port
