#pragma once

#include <cstddef>
#include <cstdint>

namespace protocol::points {

/// Every named point of the profile, in the order of the packed image. A minor version appends; nothing is
/// ever moved. Names, units and meanings: words.hpp, or the generated REGISTERS.md.
enum class Point : std::uint16_t {
  // identity: who the unit is
  kIdentitySerial,
  kIdentityFirmware,
  kIdentityModel,
  kIdentityBoard,
  kIdentityProfile,
  kIdentityFeatures,
  // stamp: birth certificate, written at the end of production
  kStampKit,
  kStampKitRevision,
  kStampKitDigest,
  kStampDate,
  kStampStation,
  // snapshot: what makes a set of readings one consistent set
  kSnapshotGeneration,
  kSnapshotOwner,
  kSnapshotBoot,
  kSnapshotChanges,
  kSnapshotUptimeS,
  kSnapshotResetCause,
  kSnapshotLatch,
  // power: power state and what is switched
  kPowerState,
  kPowerReason,
  kPowerPanelSwitch,
  kPowerLightSwitch,
  // straps: straps as the board senses them
  kStrapsStrap0,
  kStrapsStrap1,
  kStrapsStrap2,
  kStrapsStrap3,
  kStrapsStrap4,
  kStrapsStrap5,
  kStrapsStrap6,
  kStrapsStrap7,
  kStrapsStrap8,
  kStrapsStrap9,
  kStrapsStrap10,
  kStrapsStrap11,
  kStrapsStrap12,
  kStrapsStrap13,
  kStrapsStrap14,
  kStrapsStrap15,
  // rails: supply and rails
  kRailsSupplyInMv,
  kRailsSupplyInMvMin,
  kRailsSupplyInMvMax,
  kRailsSupplyInMa,
  kRailsLogicOutMv,
  kRailsLogicOutMvMin,
  kRailsLogicOutMvMax,
  kRailsPanelSelectedMv,
  kRailsPanelOutMv,
  kRailsPanelOutMvMin,
  kRailsPanelOutMvMax,
  kRailsPanelOutMa,
  kRailsLightOutMv,
  kRailsLightOutMvMin,
  kRailsLightOutMvMax,
  kRailsLightOutMa,
  kRailsKeypadOutMv,
  kRailsKeypadOutMvMin,
  kRailsKeypadOutMvMax,
  kRailsKeypadOutMa,
  kRailsBrownOuts,
  // backlight: backlight control
  kBacklightEnableMv,
  kBacklightLevelCommandedPermille,
  kBacklightLevelEffectivePermille,
  kBacklightLimitedBy,
  kBacklightPwmFrequencyHz,
  kBacklightPwmDutyPermille,
  kBacklightDimmingMv,
  // input: video input
  kInputSelected,
  kInputSelection,
  kInputCable,
  kInputHotPlug,
  kInputLocked,
  kInputLosses,
  kInputHActive,
  kInputHTotal,
  kInputVActive,
  kInputVTotal,
  kInputPixelClockKhz,
  kInputRefreshMillihz,
  kInputHPolarity,
  kInputVPolarity,
  kInputInterlaced,
  kInputColourForm,
  // panel_link: link from board to panel, as the board drives it
  kPanelLinkEnabled,
  kPanelLinkChannels,
  kPanelLinkBits,
  kPanelLinkMapping,
  kPanelLinkRasterH,
  kPanelLinkRasterV,
  kPanelLinkPixelClockKhz,
  kPanelLinkPllLocked,
  // sequence: last power-up and power-down, at the outputs of the board
  kSequenceResolutionUs,
  kSequenceSupplyRiseUs,
  kSequenceSupplyToSignalUs,
  kSequenceSignalToLightUs,
  kSequenceLightToNoSignalUs,
  kSequenceRestUs,
  // thermal: temperatures
  kThermalBoardMdegc,
  kThermalPanelMdegc,
  // life: hours and cycles
  kLifeBoardHours,
  kLifeLightHours,
  kLifePowerCycles,
  // keypad: keypad
  kKeypadPresent,
  kKeypadKeys,
  // faults: faults the firmware has latched
  kFaultsLatched,
  // log: event log
  kLogRecords,
  kLogNewest,
  // settings: settings of the unit
  kSettingsLayout,
  kSettingsBrightnessPermille,
  kSettingsPowerOn,
  kSettingsInput,
  kSettingsSelection,
  kSettingsPwmFrequencyHz,
  kSettingsArm,
  kCount
};

inline constexpr std::size_t kPointCount = static_cast<std::size_t>(Point::kCount);

/// Straps that a board may sense; a strap's index, 0..15, stands in its board file.
inline constexpr std::uint16_t kStrapCountMax = 16;

/// The point that carries the strap of this index. Precondition: index < kStrapCountMax.
[[nodiscard]] constexpr Point strap_point(std::uint16_t index) {
  return static_cast<Point>(static_cast<std::uint16_t>(Point::kStrapsStrap0) + index);
}

}  // namespace protocol::points
