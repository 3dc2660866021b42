#pragma once

#include <cstdint>

#include "tests/soak/tally.hpp"

namespace tests::soak {

/// Reads a whole number; false when `text` is anything else.
[[nodiscard]] bool number(const char* text, std::uint64_t& value);

/// Whether so many chance events are what theory expects: five deviations, and three for small numbers.
[[nodiscard]] bool within_theory(std::uint64_t seen, double expected);

/// One line of a report.
void count(const char* what, std::uint64_t n);

/// What was done on the wire and what the client saw of it.
void print_wire(const Tally& tally);

/// What came of single operations.
void print_operations(const Tally& tally);

}  // namespace tests::soak
