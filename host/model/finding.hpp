#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace host::model {

/// danger: can harm a person or destroy a part. fault: will not work. warning: outside what is recommended.
enum class Severity { kDanger, kFault, kWarning, kNote };

/// "danger", "fault", "warning", "note".
[[nodiscard]] std::string_view to_text(Severity severity);

/// Every kind of finding. Its id, usual severity, consequence and remedy stand in one table, finding.cpp.
enum class FindingId {
  // straps
  kPanelSupplyStrap,
  kLightSupplyStrap,
  kLightEnableStrap,
  kDimmingSenseStrap,
  kBitMappingStrap,
  kRasterRowStrap,
  kKeypadPowerStrap,
  kScanDirectionStrap,
  kStrapsUndefined,
  kStrapImpossible,
  // rails
  kSupplyHigh,
  kSupplyLow,
  kLogicRailOff,
  kPanelRailHigh,
  kPanelRailLow,
  kPanelRailOffNominal,
  kPanelRailOver,
  kPanelCurrentHigh,
  kPanelCurrentLow,
  kLightRailHigh,
  kLightRailLow,
  kLightRailOffNominal,
  kKeypadRailOff,
  kKeypadMissing,
  kKeypadKeyHeld,
  // backlight
  kEnableLow,
  kEnableHigh,
  kPwmFrequency,
  kPwmDuty,
  kDimmingLevel,
  kBrightness,
  // input
  kNoLock,
  kWrongInput,
  kTimingDiffers,
  kColourForm,
  // panel link
  kLinkOff,
  kLinkChannels,
  kLinkBits,
  kLinkMapping,
  kLinkRaster,
  kLinkClock,
  kLinkUnlocked,
  // unit and settings
  kPowerState,
  kFaultLatched,
  kSettingDiffers,
  kStampDiffers,
  kBoardDiffers,
  // on paper
  kNoRow,
  kSupplyUnsuited,
  kSupplyTooSmall,
  kRailOverloaded,
  kInputUnfit,
  kTimingOutOfWindow,
  kEdidTimingDiffers,
  kEdidMissing,
  kEdidDamaged,
  kEdidImpossible,
  kLinkOverLimit,
  kCableUnfit,
  kKitNotReleased,
  // cables, followed pin by pin; supply, sequence and light on paper
  kCableWrongEnd,
  kCableShifted,
  kCableMirrored,
  kCableSupplyOnSignal,
  kCableShort,
  kCableSupplyMissing,
  kCableGroundMissing,
  kCableContactsTooFew,
  kCableDrop,
  kCableGaugeUnknown,
  kCablePairReversed,
  kCablePairOpen,
  kCablePairsCrossed,
  kCableChannelsCrossed,
  kCableClockMissing,
  kCablePairSplit,
  kCableSelectWrong,
  kCableSignalMissing,
  kCableNetMisplaced,
  kCableTooLong,
  kCableNotKeyed,
  kCableNotFollowed,
  kSupplyExtremes,
  kFuseOverloaded,
  kSequenceOutOfWindow,
  kPwmBeat,
  kPwmOnTime,
  kDimmingUnfit,
  // what stands in the way of a verdict
  kLineBroken,
  kWrongUnit,
  kSnapshotTorn,
  kSnapshotLoose,
  kUnitDied,
  kUnitSilent,
  kAddressShared,
  kCount
};

/// The registry's line for one kind of finding.
struct FindingKind {
  FindingId id;
  std::string_view name;         // "panel-supply-strap"
  Severity severity;             // usual; a finding may carry a graver one
  std::string_view consequence;  // what it does, one sentence
  std::string_view remedy;       // how to mend it, one sentence
};

[[nodiscard]] std::span<const FindingKind> finding_kinds();
[[nodiscard]] const FindingKind& kind_of(FindingId id);

/// One difference between what is and what should be.
struct Finding {
  FindingId id = FindingId::kCount;
  Severity severity = Severity::kFault;
  std::string subject;      // "straps.BR1", "functions.raster-row", "rails.panel_out_mv"
  std::string expected;     // "1-2", "3135..3465 mV"
  std::string actual;       // "2-3", "5012 mV"
  std::string consequence;  // the registry's, made particular: "BR1 selects 5 V; this panel takes 3.3 V…"
  std::string remedy;
};

/// A finding with the registry's severity, consequence and remedy, to be made more particular.
[[nodiscard]] Finding make_finding(FindingId id, std::string subject, std::string expected,
                                   std::string actual);

}  // namespace host::model

// Copied and ended in many files, compiled once.
extern template class std::vector<host::model::Finding>;
