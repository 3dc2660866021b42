#pragma once

#include <string>

#include <tl/expected.hpp>

#include "sim/fault/fault.hpp"
#include "sim/line/bus.hpp"

namespace sim::port {

/// What is wrong with a unit's end of the line, all together.
struct LineTrouble {
  line::StationFault station;
  bool clash = false;  // another unit has its address
};

/// Whether a fault is the line's, not the unit's.
[[nodiscard]] inline bool is_line_fault(fault::Kind kind) {
  return fault::words(kind).part == fault::Part::kLine;
}

/// Adds a fault of the line. `own` is how the port is set where nothing is wrong.
/// Errors   one sentence: no line setting. Precondition: is_line_fault(fault.kind).
[[nodiscard]] tl::expected<void, std::string> add_line_fault(LineTrouble& trouble, const fault::Fault& fault,
                                                             const line::CharacterFormat& own);
/// Which fault it is that acts so.
[[nodiscard]] fault::Kind kind_of(line::Acted how);
void mend_line_fault(LineTrouble& trouble, fault::Kind kind);

}  // namespace sim::port
