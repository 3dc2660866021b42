#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

namespace sim::fault {

/// Everything that can be wrong with a unit, in the order of the circuit.
enum class Kind : std::uint8_t {
  // supply
  kSupplyDead,
  kSupplyLow,
  kSupplyBrownout,
  kSupplyReversed,
  // panel rail
  kPanelFuseOpen,
  kPanelRailShort,
  kPanelRailLow,
  kPanelRailWeak,
  kPanelRailStaysOn,
  kPanelSupplyContactOpen,
  // panel and its cable
  kPanelCableOut,
  kPanelCableMarginal,
  kPanelPairOpen,
  kPanelPairReversed,
  kPanelChannelsSwapped,
  kPanelLogicDead,
  kPanelBiasDead,
  kPanelLineOpen,
  kPanelClockOff,
  kPanelBlankingShort,
  kScanDirectionReversed,
  // light
  kBacklightCableOut,
  kBacklightSupplyOpen,
  kBacklightSupplyLow,
  kBacklightEnableStuck,
  kEnablePolarityInverted,
  kDimmingPolarityInverted,
  kBacklightDriverDead,
  kBacklightStringOpen,
  kLampWorn,
  kPwmStuck,
  kPwmFrequency,
  kDimmedBySensor,
  // source
  kNoSignal,
  kWrongInput,
  kHotplugLow,
  kSourceOutOfRange,
  kSourceProtected,
  kEdidCorrupt,
  kEdidOf,
  kColourSpace,
  // board
  kOverheat,
  kKeypadOpen,
  kKeypadStuck,
  kSequenceFastBacklight,
  kSenseStuck,
  kBridgeDoubled,
  kStrapMovedLive,
  kReadingOff,
  kSettingsLost,
  kSettingsOf,
  kSoftOff,
  // line
  kSerialSilent,
  kSerialSwapped,
  kSerialSettings,
  kAddressClash,
  kCount
};
inline constexpr std::size_t kKindCount = static_cast<std::size_t>(Kind::kCount);

/// Where in the unit a fault sits.
enum class Part : std::uint8_t { kSupply, kPanelRail, kPanel, kLight, kSource, kBoard, kLine };

/// What a fault takes behind its "=".
enum class Form : std::uint8_t {
  kNone,
  kVolts,            // "10 V"; a bare number counts volts
  kMilliamps,        // "300 mA"; a bare number counts milliamps
  kPercent,          // "30 %"; a bare number counts percent
  kSignedPercent,    // "-5 %"
  kHertz,            // "180 Hz"; a bare number counts hertz
  kDegrees,          // "85 °C", "85 C"; a bare number counts degrees
  kPair,             // "3": pairs count from 0 through all channels
  kPairOrClock,      // or "clock"
  kLevel,            // "low", "high" or volts
  kTiming,           // a standard's own name
  kColour,           // a colour form of input.colour_form
  kKey,              // "2", "key-2": keys count from 1
  kStrap,            // "BR1"
  kPointAndPercent,  // "rails.panel_out_mv,10"
  kPanel,            // id of a panel of the catalogue
  kKit,              // id of a kit of the catalogue
  kSerial            // "9600-8N1"
};

struct Words {
  std::string_view name;  // "supply-low"
  Part part = Part::kBoard;
  Form form = Form::kNone;
  std::string_view argument;  // "V"; empty with Form::kNone
  std::string_view does;      // what it does physically, one line
};

/// Every fault's words, in the order of Kind.
[[nodiscard]] std::span<const Words, kKindCount> all_words();
[[nodiscard]] const Words& words(Kind kind);
[[nodiscard]] std::string_view name(Kind kind);
[[nodiscard]] std::optional<Kind> find(std::string_view name);

/// "supply", "panel rail", "panel and its cable", …: headings for a list.
[[nodiscard]] std::string_view heading(Part part);

}  // namespace sim::fault
