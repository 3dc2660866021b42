#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "host/signal/edid.hpp"

namespace host::signal {

/// One value of an EDID, readable: "pixel_clock_khz" is "71000".
struct EdidField {
  std::string name;  // snake_case with its unit, parts of parts behind a point: "descriptor.1.h_active"
  std::string value;
  std::size_t offset = 0;  // of its first byte
};

/// Every value of an EDID in the order of its bytes. Descriptors, standard timings and extensions count
/// from 1.
[[nodiscard]] std::vector<EdidField> edid_fields(const Edid& edid);

/// A field that two EDIDs don't share, or that only one of them has.
struct EdidDifference {
  std::string name;
  std::optional<std::string> left, right;
};

/// Compares field by field, in the order of `left`, then what only `right` has.
[[nodiscard]] std::vector<EdidDifference> diff_edids(const Edid& left, const Edid& right);

}  // namespace host::signal
