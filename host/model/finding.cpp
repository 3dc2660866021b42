#include "host/model/finding.hpp"

#include <array>
#include <cstddef>

namespace host::model {
namespace {

using enum Severity;
using enum FindingId;

// clang-format off
constexpr std::array<FindingKind, static_cast<std::size_t>(kCount)> kKinds = {{
    // straps
    {kPanelSupplyStrap, "panel-supply-strap", kDanger,
     "The panel is fed a voltage that is not its own; above its limit it is destroyed as soon as the rail comes on.",
     "Supply off and rails down first; then set the panel supply straps to the position shown, before the panel cable goes back in."},
    {kLightSupplyStrap, "light-supply-strap", kDanger,
     "The backlight driver is fed a voltage that is not its own; above its limit it burns out.",
     "Supply off and rails down first; then set the backlight supply straps to the position shown."},
    {kLightEnableStrap, "light-enable-strap", kFault,
     "The enable line doesn't reach the level the backlight driver needs: the screen stays dark, or the driver's input is overdriven.",
     "Supply off, then set the enable level strap to the position shown."},
    {kDimmingSenseStrap, "dimming-sense-strap", kFault,
     "Brightness works backwards: full setting gives a dark screen, low setting a glaring one.",
     "Supply off, then set the dimming sense strap to the position shown."},
    {kBitMappingStrap, "bit-mapping-strap", kFault,
     "Colour bits arrive in the wrong places: false colours and bands in every smooth shade.",
     "Supply off, then set the bit mapping straps to the position shown."},
    {kRasterRowStrap, "raster-row-strap", kFault,
     "The board drives a raster this panel doesn't have: no picture, or a torn, shifted or doubled one.",
     "Supply off, then set the raster switches to the position shown; the board reads them when it starts."},
    {kKeypadPowerStrap, "keypad-power-strap", kWarning,
     "The keypad has no supply, or has one that nobody needs.",
     "Supply off, then set the keypad power strap to the position shown."},
    {kScanDirectionStrap, "scan-direction-strap", kFault,
     "The picture stands mirrored or upside down.",
     "Supply off, then set the scan direction strap to the position shown."},
    {kStrapsUndefined, "straps-undefined", kFault,
     "The straps stand in a combination that selects nothing the board's maker describes.",
     "Supply off, then set every strap of this function to the position shown."},
    {kStrapImpossible, "strap-impossible", kDanger,
     "A pin carries two caps, or a wire bridges them: rails of the board may be joined.",
     "Supply off at once; take all caps off this strap, look for a bridge, then set the position shown."},
    // rails
    {kSupplyHigh, "supply-high", kDanger,
     "The unit's supply is above what the board's input takes; the board can be destroyed.",
     "Supply off at once; measure it unloaded, then set or change it to the voltage shown."},
    {kSupplyLow, "supply-low", kFault,
     "The unit's supply is below what the board needs: restarts, a flickering light, or nothing at all.",
     "Measure the supply at the board's own connector under load; mend the feed or the supply."},
    {kLogicRailOff, "logic-rail-off", kFault,
     "The board's own logic rail is outside its limits; nothing it says or drives can be relied on.",
     "Supply off; unplug panel, light and keypad cables, try the board alone, and change it if the rail stays so."},
    {kPanelRailHigh, "panel-rail-high", kDanger,
     "The panel rail is above what this panel takes; the panel is or will be destroyed.",
     "Supply off at once; unplug the panel cable, set the panel supply straps as shown, and measure the rail before it goes back in."},
    {kPanelRailLow, "panel-rail-low", kFault,
     "The panel rail is below what this panel needs: no picture, or an unsteady one.",
     "Supply off; check the panel supply straps, then the fuse and the panel cable, then the board."},
    {kPanelRailOffNominal, "panel-rail-off-nominal", kWarning,
     "The panel still works, but the rail is outside the board's own tolerance: something loads it or ages.",
     "Measure the rail with the panel cable out, supply off while unplugging; right without the panel means panel or cable."},
    {kPanelRailOver, "panel-rail-over", kDanger,
     "The panel rail has been above what this panel takes since the readings were cleared; the panel may be damaged.",
     "Find out what raised the rail before going on; clear the readings, then watch it through several starts."},
    {kPanelCurrentHigh, "panel-current-high", kFault,
     "The panel draws more than its data sheet's worst case: a short in panel or cable.",
     "Supply off; unplug the panel cable, look for bent pins and pinched wires, then try another panel."},
    {kPanelCurrentLow, "panel-current-low", kFault,
     "The panel draws next to nothing: it isn't plugged in, or its supply pins make no contact.",
     "Supply off; reseat the panel cable at both ends, board end to board, then look at its supply contacts."},
    {kLightRailHigh, "light-rail-high", kDanger,
     "The backlight supply is above what the driver takes; the driver is or will be destroyed.",
     "Supply off at once; unplug the backlight cable, set the straps or the supply as shown, and measure before it goes back in."},
    {kLightRailLow, "light-rail-low", kFault,
     "The backlight supply is below what the driver needs: a dark or flickering screen.",
     "Supply off; check the backlight supply straps or the unit's supply, then the fuse and the backlight cable."},
    {kLightRailOffNominal, "light-rail-off-nominal", kWarning,
     "The light still works, but its rail is outside the board's own tolerance.",
     "Measure the rail at low and at full brightness; a difference means a weak supply or a worn driver."},
    {kKeypadRailOff, "keypad-rail-off", kFault,
     "The keypad's supply is not what it should be: keys do nothing, or a short holds the rail down.",
     "Supply off; check the keypad power strap, then unplug the keypad cable and measure the rail again."},
    // backlight
    {kEnableLow, "enable-low", kFault,
     "The enable line is too low for the backlight driver to switch on: a dark screen.",
     "Supply off; check the enable level strap and the backlight cable, then measure the enable pin with the cable out."},
    {kEnableHigh, "enable-high", kFault,
     "The enable line is above what the backlight driver's input takes.",
     "Supply off; set the enable level strap to the position shown before the light is used again."},
    {kPwmFrequency, "pwm-frequency", kFault,
     "The dimming frequency is outside the driver's window: flicker, steps in brightness, or no dimming.",
     "Set the dimming frequency of the unit's settings to the value shown."},
    {kPwmDuty, "pwm-duty", kFault,
     "The dimming signal doesn't stand where brightness and sense ask for: too dark, too bright, or backwards.",
     "Check the dimming sense strap with the supply off, then the brightness setting."},
    {kBrightness, "brightness", kWarning,
     "The screen is darker or brighter than this kit asks for.",
     "Set the brightness to the value shown; if something limits it, remove the cause named."},
    // input
    {kNoLock, "no-lock", kFault,
     "The unit holds no lock on a video source: nothing can be shown.",
     "Check that the source is on and sends the timing shown, then the video cable and the input chosen."},
    {kWrongInput, "wrong-input", kFault,
     "The unit looks at another input than the one this kit uses.",
     "Choose the input shown, and fix it there if the unit scans."},
    {kTimingDiffers, "timing-differs", kFault,
     "The source sends another timing than this kit is made for: a soft, cut or missing picture.",
     "Set the source to the timing shown."},
    // panel link
    {kLinkOff, "link-off", kFault,
     "The board doesn't drive the panel link: the panel gets no data.",
     "See first whether the unit is awake and locked; if it is, check the raster switches with the supply off."},
    {kLinkChannels, "link-channels", kFault,
     "The board drives another number of channels than the panel has: half a picture, a doubled one, or none.",
     "Supply off, then set the raster switches to the position shown."},
    {kLinkBits, "link-bits", kFault,
     "The board drives another number of bits than the panel takes: dark, false or banded colours.",
     "Supply off, then set raster switches and bit mapping straps to the positions shown."},
    {kLinkMapping, "link-mapping", kFault,
     "The board drives another bit mapping than the panel's: false colours and bands in every smooth shade.",
     "Supply off, then set the bit mapping straps to the position shown."},
    {kLinkRaster, "link-raster", kFault,
     "The board drives another raster than the panel's: no picture, or a torn or shifted one.",
     "Supply off, then set the raster switches to the position shown."},
    {kLinkClock, "link-clock", kFault,
     "The panel link's pixel clock is outside the panel's window: an unsteady picture or none.",
     "Set the source to the timing shown; if it already sends that, check the raster switches with the supply off."},
    {kLinkUnlocked, "link-unlocked", kFault,
     "The link transmitter's clock loop has no lock: the panel sees noise.",
     "Set the source to the timing shown; if it already sends that, change the board."},
    // unit and settings
    {kPowerState, "power-state", kFault,
     "The unit isn't in the state this check needs.",
     "Wake the unit and give it its source; if it latched a fault, mend that first."},
    {kFaultLatched, "fault-latched", kFault,
     "The firmware has latched a fault and holds outputs off for it.",
     "Mend the fault it names with the supply off, then clear it."},
    {kSettingDiffers, "setting-differs", kFault,
     "A setting of the unit isn't what this kit asks for.",
     "Set it to the value shown."},
    {kStampDiffers, "stamp-differs", kWarning,
     "The unit says that it was built to another kit, or to another revision of this one.",
     "Check the unit's label against the kit; then use the right kit, or stamp the unit again after a pass."},
    {kBoardDiffers, "board-differs", kFault,
     "The board in this unit isn't the one the kit names; its straps mean something else.",
     "Touch no strap; use the kit of this board, or change the board for the one shown."},
    // on paper
    {kNoRow, "no-row", kFault,
     "No position of the board's straps gives what this panel needs.",
     "Choose another board for this panel, or another panel for this board."},
    {kSupplyUnsuited, "supply-unsuited", kDanger,
     "The supply's voltage isn't what the board, or what it hands on to, takes.",
     "Choose a supply whose whole range lies inside the limits shown."},
    {kSupplyTooSmall, "supply-too-small", kFault,
     "The supply can't carry the unit at its worst case: restarts at full brightness.",
     "Choose a supply of at least the power shown."},
    {kRailOverloaded, "rail-overloaded", kFault,
     "What hangs on a rail draws more than the board can give.",
     "Choose a board with a stronger rail, or feed the load by itself."},
    {kInputUnfit, "input-unfit", kFault,
     "The input can't take this timing's pixel clock.",
     "Choose another input, or a timing with reduced blanking."},
    {kTimingOutOfWindow, "timing-out-of-window", kFault,
     "The timing is outside what the panel takes: an unsteady picture or none.",
     "Choose a timing inside the limits shown."},
    {kLinkOverLimit, "link-over-limit", kFault,
     "The panel link would run faster than board or panel allows.",
     "Choose a slower timing, or a board with more channels."},
    {kCableUnfit, "cable-unfit", kFault,
     "A cable doesn't join what it should: the wrong connector, or a net on the wrong pin.",
     "Choose a cable whose ends and pins fit; don't plug this one in."},
    {kKitNotReleased, "kit-not-released", kNote,
     "The kit, or a file it names, isn't released: its figures may still change.",
     "Have the file released before units are built to it."},
    // what stands in the way of a verdict
    {kLineBroken, "line-broken", kFault,
     "Too many frames on the line are damaged; no reading over it counts.",
     "Check the service cable, its shield and ends, and baud rate and parity; then verify again."},
    {kWrongUnit, "wrong-unit", kFault,
     "The unit that answers isn't the one that was scanned or named.",
     "Look which unit the service cable is plugged into; then verify again."},
    {kSnapshotTorn, "snapshot-torn", kFault,
     "The readings are not of one moment: the unit restarted, or somebody else latched meanwhile.",
     "See that nobody else reads this unit; then verify again."},
    {kSnapshotLoose, "snapshot-loose", kWarning,
     "The unit can't latch nor count its changes, so its readings may be of different moments.",
     "Accept it in the board file with a reason, or use a firmware that latches."},
    {kUnitDied, "unit-died", kFault,
     "The unit stopped answering while it was read.",
     "Check its supply under load and the service cable; then verify again."},
}};
// clang-format on

constexpr bool in_order() {
  for (std::size_t i = 0; i < kKinds.size(); ++i) {
    if (kKinds[i].id != static_cast<FindingId>(i)) return false;
  }
  return true;
}
static_assert(in_order(), "the registry stands in the order of FindingId");

}  // namespace

std::string_view to_text(Severity severity) {
  switch (severity) {
    case kDanger: return "danger";
    case kFault: return "fault";
    case kWarning: return "warning";
    case kNote: return "note";
  }
  return "note";
}

std::span<const FindingKind> finding_kinds() {
  return kKinds;
}

const FindingKind& kind_of(FindingId id) {
  return kKinds[static_cast<std::size_t>(id)];
}

Finding make_finding(FindingId id, std::string subject, std::string expected, std::string actual) {
  const FindingKind& kind = kind_of(id);
  return {.id = id,
          .severity = kind.severity,
          .subject = std::move(subject),
          .expected = std::move(expected),
          .actual = std::move(actual),
          .consequence = std::string(kind.consequence),
          .remedy = std::string(kind.remedy)};
}

}  // namespace host::model
