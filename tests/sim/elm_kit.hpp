#pragma once

#include <cstdint>
#include <string_view>

#include "host/model/kit.hpp"
#include "sim/unit/unit.hpp"

namespace tests::sim {

/// A kit made up for these tests, with figures that a pencil can follow.
///
///   supply  24 V +-5 %                 board   own 3 W, converters 80 %, input 10 .. 30 V
///   panel   1280 x 800, one channel, jeida-24, 71 MHz; 5 V (4.5 .. 5.5 V, destroyed above 6 V);
///           idle 100 mA, black 300 mA, white 260 mA
///   light   12 V (10.8 .. 13.2 V), 6 W, on above 2.0 V, off below 0.8 V, open off, high is brighter
///   dimming 200 Hz, 0 % of brightness = 10 % duty, 100 % = 90 %
///
///   BR1  4 pins, sensed, index 0      panel-supply   1-2 3.3 V, 2-3 5 V, 3-4 12 V
///   BR2  3 pins, sensed, index 1      bit-mapping    1-2 vesa-24, 2-3 jeida-24
///   S1   4 ways, at reset, index 2    raster-row     10xx 1024 x 768, 01xx and 11xx 1280 x 800
///   BR3  2 pins, not sensed           keypad-power   1-2 on, open off
///   BR4  2 pins, sensed, index 3      dimming-sense  open high-is-brighter, 1-2 low-is-brighter
[[nodiscard]] host::model::Kit elm_kit();

/// Indices into elm_kit().board.straps.
inline constexpr std::size_t kBr1 = 0, kBr2 = 1, kS1 = 2, kBr3 = 3, kBr4 = 4;

/// 1280 x 800 at 59.910 Hz, 71 MHz, reduced blanking: what the kit's source sends.
[[nodiscard]] host::model::Timing elm_timing();

/// A healthy unit of that kit, of nominal parts with exact readings; brightness 80 %.
[[nodiscard]] ::sim::unit::UnitSetup elm_setup();

/// The number a point says. Fails the test when it says none.
[[nodiscard]] std::int64_t number(const ::sim::unit::Unit& unit, protocol::points::Point point);

/// Whether a point says that there is nothing, for this reason.
[[nodiscard]] bool says(const ::sim::unit::Unit& unit, protocol::points::Point point,
                        protocol::points::Unread why);

/// Lets a unit live on.
void live(::sim::unit::Unit& unit, protocol::base::Duration time);

}  // namespace tests::sim
