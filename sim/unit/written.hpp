#pragma once

#include <cstdint>
#include <string>

#include <tl/expected.hpp>

#include "host/model/kit.hpp"
#include "protocol/base/words.hpp"
#include "protocol/pdu/function.hpp"
#include "protocol/points/point.hpp"
#include "sim/unit/memory.hpp"

namespace sim::unit {

/// What a master may change by writing registers.
struct Kept {
  Settings settings;
  Stamp stamp;
};

/// The version of this layout of settings: what settings.layout reads, and the only value it takes.
inline constexpr std::int64_t kSettingsLayout = 1;

/// Lays `words`, as written from holding register `address` on, over what is kept. A write may begin and end
/// inside a text.
///
/// Limits   brightness 0 to 1000 permille, and its duty what the panel's light takes; PWM frequency what both
///          board and panel's light take; an input the board has; choices that exist; texts of printable
///          ASCII, padded with NUL.
/// Returns  what is kept then. No setting of this layout selects a rail, an enable level or a raster (straps
///          do), so none has to wait until the panel's outputs are off.
/// Errors   illegal_data_value: outside a limit; nothing is taken of such a write.
/// Precondition: every register is one of settings or stamp, and not a control.
[[nodiscard]] tl::expected<Kept, protocol::pdu::ExceptionCode> with_written(const host::model::Kit& kit,
                                                                            const Kept& kept,
                                                                            std::uint16_t address,
                                                                            protocol::base::Words words);

/// A point of settings or stamp as it is kept.
[[nodiscard]] std::int64_t number_of(const Settings& settings, protocol::points::Point point);
[[nodiscard]] const std::string& text_of(const Stamp& stamp, protocol::points::Point point);

}  // namespace sim::unit
