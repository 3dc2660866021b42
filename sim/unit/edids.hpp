#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "host/model/kit.hpp"

namespace sim::unit {

/// The EDID a board answers with at an input, for a panel and the raster it wants; empty where none can be
/// made of them.
[[nodiscard]] std::vector<std::uint8_t> edid_of(const host::model::Panel& panel,
                                                const host::model::Timing& timing,
                                                std::string_view input_kind);

/// The raster a kit's source sends.
[[nodiscard]] host::model::Timing wanted_timing(const host::model::Kit& kit);

}  // namespace sim::unit
