#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sim/unit/settings.hpp"

namespace sim::unit {

/// What happened, as the firmware writes it down. Numbers are frozen: a log outlives its firmware.
enum class EventCode : std::uint16_t {
  kStarted = 1,         // value: reset cause
  kPowerState = 2,      // value: the new state
  kBrownOut = 3,        // value: 0
  kLock = 4,            // value: 1 locked, 0 lost
  kFaultLatched = 5,    // value: the bit of faults.latched
  kStrapChanged = 6,    // value: index of the strap's word
  kSettingsLost = 7,    // value: 0
  kSettingChanged = 8,  // value: 0 brightness, 1 power_on, 2 pwm_frequency, 3 input, 4 selection
  kOverheat = 9,        // value: °C
  kKey = 10,            // value: number of the key
  kStamped = 11         // value: 0
};

/// One record of the event log: boot number and uptime order them, no clock is needed.
struct LogEntry {
  std::uint16_t boot = 0;
  std::uint32_t uptime_s = 0;
  EventCode code = EventCode::kStarted;
  std::uint16_t value = 0;
  friend bool operator==(const LogEntry&, const LogEntry&) = default;
};
inline constexpr std::size_t kLogEntriesMax = 256;

/// Birth certificate, as points stamp.*.
struct Stamp {
  std::string kit, kit_revision, kit_digest, date, station;
  friend bool operator==(const Stamp&, const Stamp&) = default;
};

/// Everything that stays when the supply goes: what the board's memory chip holds. Plain values, for whoever
/// keeps it in a file.
struct Memory {
  Settings settings;
  Stamp stamp;
  std::vector<LogEntry> log;      // oldest first, at most kLogEntriesMax
  std::uint32_t log_written = 0;  // records written ever; the newest has number log_written - 1
  std::uint64_t board_ms = 0;     // powered
  std::uint64_t light_ms = 0;     // backlight on
  std::uint32_t power_cycles = 0;
  std::uint16_t boot = 0;  // number of the last start
  bool was_on = true;      // for power_on = last
  friend bool operator==(const Memory&, const Memory&) = default;
};

}  // namespace sim::unit
