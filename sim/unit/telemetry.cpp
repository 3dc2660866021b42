#include "sim/unit/telemetry.hpp"

#include <algorithm>

#include "protocol/points/layout.hpp"
#include "sim/unit/written.hpp"

// What the firmware says of each point: its own beliefs, the measuring channels, or why there is nothing. The
// power circuit's are in telemetry_power.cpp.

namespace sim::unit {
namespace {

namespace model = host::model;
namespace points = protocol::points;
using points::Point;
using points::Unread;

constexpr const char* kFirmwareVersion = "0.1.0";
constexpr std::int64_t kResolutionUs = kStep.count();

std::int64_t yes(bool truth) {
  return truth ? 1 : 0;
}

Value identity(const Unit& unit, Point point) {
  switch (point) {
    case Point::kIdentitySerial: return unit.setup().serial;
    case Point::kIdentityFirmware: return std::string{kFirmwareVersion};
    case Point::kIdentityModel: return unit.kit().board.about.title;
    case Point::kIdentityBoard: return unit.kit().board.about.id;
    case Point::kIdentityProfile:
      return std::int64_t{points::kProfileMajor} * 256 + std::int64_t{points::kProfileMinor};
    case Point::kIdentityFeatures: return std::int64_t{0};
    default: break;
  }
  return text_of(unit.firmware().memory().stamp, point);
}

Value snapshot(const Unit& unit, Point point) {
  constexpr std::int64_t kWrap = 0xFFFD;
  switch (point) {
    case Point::kSnapshotBoot: return std::int64_t{unit.firmware().memory().boot};
    case Point::kSnapshotResetCause: return static_cast<std::int64_t>(unit.firmware().reset_cause());
    case Point::kSnapshotChanges: return unit.changes() % kWrap;
    case Point::kSnapshotUptimeS:
      return std::chrono::duration_cast<std::chrono::seconds>(unit.now() - unit.firmware().started_at())
          .count();
    default: return std::int64_t{0};  // generation and owner: the registers'
  }
}

Value power(const Unit& unit, Point point) {
  const Firmware& firmware = unit.firmware();
  switch (point) {
    case Point::kPowerState: return static_cast<std::int64_t>(firmware.state());
    case Point::kPowerReason: return static_cast<std::int64_t>(firmware.reason());
    case Point::kPowerPanelSwitch: return yes(firmware.drive().panel_switch);
    default: return yes(firmware.drive().light);
  }
}

Value strap(const Unit& unit, Point point) {
  const auto index = static_cast<std::uint16_t>(point) - static_cast<std::uint16_t>(Point::kStrapsStrap0);
  const model::Board& board = unit.kit().board;
  for (std::size_t i = 0; i < board.straps.size(); ++i) {
    const model::Strap& strap = board.straps[i];
    if (strap.evidence == model::Evidence::kUnread || strap.index != index) continue;
    const bool at_reset = strap.evidence == model::Evidence::kAtReset;
    return std::int64_t{(at_reset ? unit.straps_at_reset() : unit.sensed())[i].bits};
  }
  return Unread::kNotFitted;
}

Value source(const Unit& unit, Point point) {
  const model::Timing& timing = unit.receiver().timing();
  switch (point) {
    case Point::kInputHActive: return timing.h_active.count;
    case Point::kInputHTotal: return timing.h_total().count;
    case Point::kInputVActive: return timing.v_active.count;
    case Point::kInputVTotal: return timing.v_total().count;
    case Point::kInputPixelClockKhz: return timing.pixel_clock.count / 1'000;
    case Point::kInputRefreshMillihz: return timing.refresh().count;
    case Point::kInputHPolarity: return static_cast<std::int64_t>(timing.h_polarity);
    case Point::kInputVPolarity: return static_cast<std::int64_t>(timing.v_polarity);
    case Point::kInputInterlaced: return yes(timing.interlaced);
    default: return std::int64_t{0};
  }
}

Value input(const Unit& unit, Point point) {
  const Settings& settings = unit.firmware().settings();
  switch (point) {
    case Point::kInputSelected: return static_cast<std::int64_t>(unit.firmware().selected_input());
    case Point::kInputSelection: return yes(settings.scan);
    case Point::kInputLosses: return std::int64_t{unit.receiver().losses()};
    default: break;
  }
  if (!is_up(unit)) return Unread::kAsleep;
  switch (point) {
    case Point::kInputCable: return yes(unit.receiver().in().cable);
    case Point::kInputHotPlug: return yes(unit.receiver().in().hot_plug);
    case Point::kInputLocked: return yes(unit.receiver().locked());
    default: break;
  }
  if (!unit.receiver().locked()) return Unread::kAsleep;
  if (point == Point::kInputColourForm) return static_cast<std::int64_t>(unit.receiver().in().form);
  return source(unit, point);
}

// Raster, channels, bits and mapping are what the straps ask for, also while nothing is sent.
Value panel_link(const Unit& unit, Point point) {
  const Selections& straps = unit.firmware().straps();
  const auto raster = [&](std::int64_t number) {
    return straps.raster ? Value{number} : Value{Unread::kNotFitted};
  };
  const model::RasterRow row = straps.raster.value_or(model::RasterRow{});
  switch (point) {
    case Point::kPanelLinkChannels: return raster(row.channels);
    case Point::kPanelLinkBits: return raster(row.bits);
    case Point::kPanelLinkRasterH: return raster(row.columns.count);
    case Point::kPanelLinkRasterV: return raster(row.lines.count);
    case Point::kPanelLinkMapping:
      return straps.mapping ? Value{static_cast<std::int64_t>(*straps.mapping)} : Value{Unread::kNotFitted};
    default: break;
  }
  if (!is_awake(unit)) return Unread::kAsleep;
  const bool enabled = unit.firmware().link_enabled() && unit.firmware().link().has_value();
  if (point == Point::kPanelLinkEnabled) return yes(enabled);
  if (!enabled) return std::int64_t{0};
  const LinkSignal& signal = *unit.firmware().link();
  return point == Point::kPanelLinkPllLocked ? yes(signal.pll_locked) : signal.pixel_clock.count / 1'000;
}

Value sequence(const Unit& unit, Point point) {
  const Intervals& intervals = unit.intervals();
  const auto taken = [](const std::optional<protocol::base::Duration>& interval) {
    return interval ? Value{std::int64_t{interval->count()}} : Value{Unread::kNoEdges};
  };
  switch (point) {
    case Point::kSequenceResolutionUs: return kResolutionUs;
    case Point::kSequenceSupplyRiseUs: return taken(intervals.supply_rise);
    case Point::kSequenceSupplyToSignalUs: return taken(intervals.supply_to_signal);
    case Point::kSequenceSignalToLightUs: return taken(intervals.signal_to_light);
    case Point::kSequenceLightToNoSignalUs: return taken(intervals.light_to_no_signal);
    default: return taken(intervals.rest);
  }
}

Value life(const Memory& memory, Point point) {
  constexpr std::int64_t kMillisecondsAnHour = 3'600'000;
  switch (point) {
    case Point::kLifeBoardHours: return static_cast<std::int64_t>(memory.board_ms) / kMillisecondsAnHour;
    case Point::kLifeLightHours: return static_cast<std::int64_t>(memory.light_ms) / kMillisecondsAnHour;
    case Point::kLifePowerCycles: return std::int64_t{memory.power_cycles};
    case Point::kLogRecords: return static_cast<std::int64_t>(memory.log.size());
    default:  // slot of the newest
      return memory.log.empty() ? Value{Unread::kAsleep}
                                : Value{static_cast<std::int64_t>((memory.log_written - 1) % kLogEntriesMax)};
  }
}

Value rest(const Unit& unit, Point point) {
  switch (point) {
    case Point::kThermalBoardMdegc: return unit.measured(point, unit.board_degrees() * 1'000);
    case Point::kLifeBoardHours:
    case Point::kLifeLightHours:
    case Point::kLifePowerCycles:
    case Point::kLogRecords:
    case Point::kLogNewest: return life(unit.firmware().memory(), point);
    case Point::kKeypadPresent:
      return yes(unit.kit().keypad.has_value() && unit.circuit().levels().keypad_ma > 0);
    case Point::kKeypadKeys: {
      const int key = unit.key_seen();
      return std::int64_t{key > 0 ? 1 << (key - 1) : 0};
    }
    case Point::kFaultsLatched: return std::int64_t{unit.firmware().latched()};
    default: return Unread::kNotFitted;  // panel sensor
  }
}

}  // namespace

Value Unit::value(Point point) const {
  const auto& absent = setup_.kit.board.absent;
  if (std::find(absent.begin(), absent.end(), point) != absent.end()) return Unread::kNotFitted;
  if (point <= Point::kStampStation) return identity(*this, point);
  if (point <= Point::kSnapshotLatch) return snapshot(*this, point);
  if (point <= Point::kPowerLightSwitch) return power(*this, point);
  if (point <= Point::kStrapsStrap15) return strap(*this, point);
  if (point <= Point::kRailsBrownOuts) return rail_value(*this, point);
  if (point <= Point::kBacklightDimmingMv) return backlight_value(*this, point);
  if (point <= Point::kInputColourForm) return input(*this, point);
  if (point <= Point::kPanelLinkPllLocked) return panel_link(*this, point);
  if (point <= Point::kSequenceRestUs) return sequence(*this, point);
  if (point >= Point::kSettingsLayout) return number_of(firmware_.settings(), point);
  return rest(*this, point);
}

}  // namespace sim::unit
