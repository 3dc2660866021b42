#include "protocol/points/layout.hpp"

namespace protocol::points {
namespace {

constexpr Layout at(std::uint16_t address, Table table, Type type, std::int8_t scale, Access access) {
  return Layout{address, kNotInImage, table, type, scale, access};
}

// Packs the image: every point but the controls, in order.
template <std::size_t N>
constexpr std::array<Layout, N> packed(std::array<Layout, N> points) {
  std::uint16_t next = 0;
  for (Layout& point : points) {
    if (point.access == Access::kControl) continue;
    point.image = next;
    next = static_cast<std::uint16_t>(next + register_count(point.type));
  }
  return points;
}

// clang-format off
constexpr std::array<Layout, kPointCount> kLayouts = packed(std::array<Layout, kPointCount>{
    // identity
    at(0x000, Table::kInput, Type::kText16, 0, Access::kRead),  // identity.serial
    at(0x008, Table::kInput, Type::kText16, 0, Access::kRead),  // identity.firmware
    at(0x010, Table::kInput, Type::kText16, 0, Access::kRead),  // identity.model
    at(0x018, Table::kInput, Type::kText16, 0, Access::kRead),  // identity.board
    at(0x020, Table::kInput, Type::kU16, 0, Access::kRead),  // identity.profile
    at(0x021, Table::kInput, Type::kU16, 0, Access::kRead),  // identity.features
    // stamp
    at(0x040, Table::kHolding, Type::kText32, 0, Access::kArmed),  // stamp.kit
    at(0x050, Table::kHolding, Type::kText8, 0, Access::kArmed),  // stamp.kit_revision
    at(0x054, Table::kHolding, Type::kText16, 0, Access::kArmed),  // stamp.kit_digest
    at(0x05C, Table::kHolding, Type::kText16, 0, Access::kArmed),  // stamp.date
    at(0x064, Table::kHolding, Type::kText16, 0, Access::kArmed),  // stamp.station
    // snapshot
    at(0x080, Table::kInput, Type::kU16, 0, Access::kRead),  // snapshot.generation
    at(0x081, Table::kInput, Type::kU16, 0, Access::kRead),  // snapshot.owner
    at(0x082, Table::kInput, Type::kU16, 0, Access::kRead),  // snapshot.boot
    at(0x083, Table::kInput, Type::kU16, 0, Access::kRead),  // snapshot.changes
    at(0x084, Table::kInput, Type::kU32, 0, Access::kRead),  // snapshot.uptime_s
    at(0x086, Table::kInput, Type::kU16, 0, Access::kRead),  // snapshot.reset_cause
    at(0x0A0, Table::kHolding, Type::kU16, 0, Access::kControl),  // snapshot.latch
    // power
    at(0x0C0, Table::kInput, Type::kU16, 0, Access::kRead),  // power.state
    at(0x0C1, Table::kInput, Type::kU16, 0, Access::kRead),  // power.reason
    at(0x0C2, Table::kInput, Type::kU16, 0, Access::kRead),  // power.panel_switch
    at(0x0C3, Table::kInput, Type::kU16, 0, Access::kRead),  // power.light_switch
    // straps
    at(0x100, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_0
    at(0x101, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_1
    at(0x102, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_2
    at(0x103, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_3
    at(0x104, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_4
    at(0x105, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_5
    at(0x106, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_6
    at(0x107, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_7
    at(0x108, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_8
    at(0x109, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_9
    at(0x10A, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_10
    at(0x10B, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_11
    at(0x10C, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_12
    at(0x10D, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_13
    at(0x10E, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_14
    at(0x10F, Table::kInput, Type::kU16, 0, Access::kRead),  // straps.strap_15
    // rails
    at(0x140, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.supply_in_mv
    at(0x141, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.supply_in_mv_min
    at(0x142, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.supply_in_mv_max
    at(0x143, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.supply_in_ma
    at(0x144, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.logic_out_mv
    at(0x145, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.logic_out_mv_min
    at(0x146, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.logic_out_mv_max
    at(0x147, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.panel_selected_mv
    at(0x148, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.panel_out_mv
    at(0x149, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.panel_out_mv_min
    at(0x14A, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.panel_out_mv_max
    at(0x14B, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.panel_out_ma
    at(0x14C, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.light_out_mv
    at(0x14D, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.light_out_mv_min
    at(0x14E, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.light_out_mv_max
    at(0x14F, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.light_out_ma
    at(0x150, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.keypad_out_mv
    at(0x151, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.keypad_out_mv_min
    at(0x152, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.keypad_out_mv_max
    at(0x153, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.keypad_out_ma
    at(0x154, Table::kInput, Type::kU16, 0, Access::kRead),  // rails.brown_outs
    // backlight
    at(0x180, Table::kInput, Type::kU16, 0, Access::kRead),  // backlight.enable_mv
    at(0x181, Table::kInput, Type::kU16, 0, Access::kRead),  // backlight.level_commanded_permille
    at(0x182, Table::kInput, Type::kU16, 0, Access::kRead),  // backlight.level_effective_permille
    at(0x183, Table::kInput, Type::kU16, 0, Access::kRead),  // backlight.limited_by
    at(0x184, Table::kInput, Type::kU16, 0, Access::kRead),  // backlight.pwm_frequency_hz
    at(0x185, Table::kInput, Type::kU16, 0, Access::kRead),  // backlight.pwm_duty_permille
    at(0x186, Table::kInput, Type::kU16, 0, Access::kRead),  // backlight.dimming_mv
    // input
    at(0x1C0, Table::kInput, Type::kU16, 0, Access::kRead),  // input.selected
    at(0x1C1, Table::kInput, Type::kU16, 0, Access::kRead),  // input.selection
    at(0x1C2, Table::kInput, Type::kU16, 0, Access::kRead),  // input.cable
    at(0x1C3, Table::kInput, Type::kU16, 0, Access::kRead),  // input.hot_plug
    at(0x1C4, Table::kInput, Type::kU16, 0, Access::kRead),  // input.locked
    at(0x1C5, Table::kInput, Type::kU16, 0, Access::kRead),  // input.losses
    at(0x1C6, Table::kInput, Type::kU16, 0, Access::kRead),  // input.h_active
    at(0x1C7, Table::kInput, Type::kU16, 0, Access::kRead),  // input.h_total
    at(0x1C8, Table::kInput, Type::kU16, 0, Access::kRead),  // input.v_active
    at(0x1C9, Table::kInput, Type::kU16, 0, Access::kRead),  // input.v_total
    at(0x1CA, Table::kInput, Type::kU32, 0, Access::kRead),  // input.pixel_clock_khz
    at(0x1CC, Table::kInput, Type::kU32, 0, Access::kRead),  // input.refresh_millihz
    at(0x1CE, Table::kInput, Type::kU16, 0, Access::kRead),  // input.h_polarity
    at(0x1CF, Table::kInput, Type::kU16, 0, Access::kRead),  // input.v_polarity
    at(0x1D0, Table::kInput, Type::kU16, 0, Access::kRead),  // input.interlaced
    at(0x1D1, Table::kInput, Type::kU16, 0, Access::kRead),  // input.colour_form
    // panel_link
    at(0x200, Table::kInput, Type::kU16, 0, Access::kRead),  // panel_link.enabled
    at(0x201, Table::kInput, Type::kU16, 0, Access::kRead),  // panel_link.channels
    at(0x202, Table::kInput, Type::kU16, 0, Access::kRead),  // panel_link.bits
    at(0x203, Table::kInput, Type::kU16, 0, Access::kRead),  // panel_link.mapping
    at(0x204, Table::kInput, Type::kU16, 0, Access::kRead),  // panel_link.raster_h
    at(0x205, Table::kInput, Type::kU16, 0, Access::kRead),  // panel_link.raster_v
    at(0x206, Table::kInput, Type::kU32, 0, Access::kRead),  // panel_link.pixel_clock_khz
    at(0x208, Table::kInput, Type::kU16, 0, Access::kRead),  // panel_link.pll_locked
    // sequence
    at(0x240, Table::kInput, Type::kU16, 0, Access::kRead),  // sequence.resolution_us
    at(0x241, Table::kInput, Type::kU32, 0, Access::kRead),  // sequence.supply_rise_us
    at(0x243, Table::kInput, Type::kU32, 0, Access::kRead),  // sequence.supply_to_signal_us
    at(0x245, Table::kInput, Type::kU32, 0, Access::kRead),  // sequence.signal_to_light_us
    at(0x247, Table::kInput, Type::kU32, 0, Access::kRead),  // sequence.light_to_no_signal_us
    at(0x249, Table::kInput, Type::kU32, 0, Access::kRead),  // sequence.rest_us
    // thermal
    at(0x280, Table::kInput, Type::kS16, 2, Access::kRead),  // thermal.board_mdegc
    at(0x281, Table::kInput, Type::kS16, 2, Access::kRead),  // thermal.panel_mdegc
    // life
    at(0x2C0, Table::kInput, Type::kU32, 0, Access::kRead),  // life.board_hours
    at(0x2C2, Table::kInput, Type::kU32, 0, Access::kRead),  // life.light_hours
    at(0x2C4, Table::kInput, Type::kU32, 0, Access::kRead),  // life.power_cycles
    // keypad
    at(0x300, Table::kInput, Type::kU16, 0, Access::kRead),  // keypad.present
    at(0x301, Table::kInput, Type::kU16, 0, Access::kRead),  // keypad.keys
    // faults
    at(0x340, Table::kInput, Type::kU16, 0, Access::kRead),  // faults.latched
    // log
    at(0x380, Table::kInput, Type::kU16, 0, Access::kRead),  // log.records
    at(0x381, Table::kInput, Type::kU16, 0, Access::kRead),  // log.newest
    // settings
    at(0x400, Table::kHolding, Type::kU16, 0, Access::kArmed),  // settings.layout
    at(0x401, Table::kHolding, Type::kU16, 0, Access::kArmed),  // settings.brightness_permille
    at(0x402, Table::kHolding, Type::kU16, 0, Access::kArmed),  // settings.power_on
    at(0x403, Table::kHolding, Type::kU16, 0, Access::kArmed),  // settings.input
    at(0x404, Table::kHolding, Type::kU16, 0, Access::kArmed),  // settings.selection
    at(0x405, Table::kHolding, Type::kU16, 0, Access::kArmed),  // settings.pwm_frequency_hz
    at(0x420, Table::kHolding, Type::kU16, 0, Access::kControl),  // settings.arm
});
// clang-format on

constexpr std::uint16_t measured_image() {
  std::uint16_t size = 0;
  for (const Layout& point : kLayouts) {
    if (point.image == kNotInImage) continue;
    size = static_cast<std::uint16_t>(point.image + register_count(point.type));
  }
  return size;
}

}  // namespace

std::span<const Layout, kPointCount> layouts() {
  return kLayouts;
}

const Layout& layout(Point point) {
  return kLayouts[static_cast<std::size_t>(point)];
}

std::uint16_t image_size() {
  constexpr std::uint16_t kSize = measured_image();
  return kSize;
}

std::array<std::uint8_t, 8> octets(const Layout& layout) {
  return {static_cast<std::uint8_t>(layout.address >> 8), static_cast<std::uint8_t>(layout.address & 0xFFU),
          static_cast<std::uint8_t>(layout.image >> 8),   static_cast<std::uint8_t>(layout.image & 0xFFU),
          static_cast<std::uint8_t>(layout.table),        static_cast<std::uint8_t>(layout.type),
          static_cast<std::uint8_t>(layout.scale),        static_cast<std::uint8_t>(layout.access)};
}

}  // namespace protocol::points
