#include <functional>

#include <doctest/doctest.h>

#include "host/expect/edid/presented.hpp"
#include "host/signal/find_timing.hpp"
#include "tests/host/expect/kit.hpp"

using namespace host;
using model::FindingId;
using model::Severity;

namespace {

struct Provocation {
  const char* what;
  std::function<void(model::Kit&)> spoil;
  FindingId id;
  Severity severity;
  const char* subject;
  const char* says;  // part of the consequence
};

// Dimmed by 0.3 to 3 V, higher is brighter.
void by_voltage(model::Kit& kit, std::map<model::PartsPerMillion, model::Millivolts> level_at) {
  kit.panel.backlight.dimming = {
      model::DimmingKind::kAnalogue, model::DimmingSense::kHighIsBrighter, {}, {}, {{{300}}, {}, {{3000}}}};
  kit.board.light.level_at = std::move(level_at);
}

void fix_edid(model::Kit& kit, std::vector<std::string> timings) {
  kit.board.inputs[1].edid = model::EdidOrigin::kFixed;
  kit.board.inputs[1].edid_timings = std::move(timings);
}

}  // namespace

TEST_SUITE("host/expect/paper") {
  TEST_CASE("each thing that can't work on paper has its finding") {
    const std::vector<Provocation> provocations = {
        {"no row for the panel's voltage",
         [](model::Kit& kit) { kit.panel.supply.voltage = {{{8000}}, {{9000}}, {{10'000}}}; },
         FindingId::kNoRow, Severity::kFault, "functions.panel-supply",
         "8..10 V; the board's straps offer 3.3 V; 5 V; 12 V"},
        {"no row for the mapping", [](model::Kit& kit) { kit.panel.link.mapping = model::Mapping::kVesa30; },
         FindingId::kNoRow, Severity::kFault, "functions.bit-mapping", "vesa-30"},
        {"no row for the enable level", [](model::Kit& kit) { kit.panel.backlight.enable.on_above = {5000}; },
         FindingId::kNoRow, Severity::kFault, "functions.light-enable", "offer 3.3 V; 5 V"},
        {"no row for the raster", [](model::Kit& kit) { kit.panel.signal.raster_lines = {720}; },
         FindingId::kNoRow, Severity::kFault, "functions.raster-row", "1280 x 720"},
        {"a fixed light rail that doesn't suit",
         [](model::Kit& kit) { kit.panel.backlight.supply = {{{22'000}}, {{24'000}}, {{26'000}}}; },
         FindingId::kNoRow, Severity::kFault, "rails.light", "its load takes 22..26 V"},
        {"no light rail at all", [](model::Kit& kit) { kit.board.rails.erase(kit.board.rails.begin() + 2); },
         FindingId::kNoRow, Severity::kFault, "rails.light", "no light rail"},
        {"a keypad of another voltage",
         [](model::Kit& kit) { kit.keypad->voltage = {{{3000}}, {{3300}}, {{3600}}}; }, FindingId::kNoRow,
         Severity::kFault, "rails.keypad", "its load takes 3..3.6 V"},
        {"a fixed enable level that is too low",
         [](model::Kit& kit) {
           kit.board.functions.erase(kit.board.functions.begin() + 1);
           kit.board.light.enable_high = {{3300}};
         },
         FindingId::kNoRow, Severity::kFault, "functions.light-enable", "fixed at 3.3 V"},
        {"a fixed sense that is the wrong one",
         [](model::Kit& kit) {
           kit.board.functions.erase(kit.board.functions.begin() + 2);
           kit.board.light.sense = model::DimmingSense::kHighIsBrighter;
         },
         FindingId::kNoRow, Severity::kFault, "functions.dimming-sense", "fixed at high-is-brighter"},
        {"a fixed mapping that is the wrong one",
         [](model::Kit& kit) {
           kit.board.functions.erase(kit.board.functions.begin() + 3);
           kit.board.link.mapping = model::Mapping::kVesa24;
         },
         FindingId::kNoRow, Severity::kFault, "functions.bit-mapping", "fixed at vesa-24"},
        {"a supply above the board's input",
         [](model::Kit& kit) { kit.supply.voltage = {{{30'000}}, {{32'000}}, {{34'000}}}; },
         FindingId::kSupplyUnsuited, Severity::kDanger, "supply.voltage",
         "gives 30..34 V, the board takes 9..28 V"},
        {"a supply below it", [](model::Kit& kit) { kit.supply.voltage = {{{8000}}, {{9000}}, {{10'000}}}; },
         FindingId::kSupplyUnsuited, Severity::kFault, "supply.voltage", "restarts"},
        {"a supply passed through that is too high for the light",
         [](model::Kit& kit) {
           kit.board.rails[2].origin = model::RailOrigin::kPassedThrough;
           kit.board.rails[2].choices.clear();
         },
         FindingId::kSupplyUnsuited, Severity::kDanger, "rails.light", "22.8..25.2 V, passed through"},
        {"a supply too small", [](model::Kit& kit) { kit.supply.power = {17'812}; },
         FindingId::kSupplyTooSmall, Severity::kFault, "supply.power",
         "17.813 W at worst from a supply of 17.812 W"},
        {"a supply loaded above 80 %", [](model::Kit& kit) { kit.supply.power = {22'266}; },
         FindingId::kSupplyTooSmall, Severity::kWarning, "supply.power", "more than 80 %"},
        {"a panel that draws more than its rail gives",
         [](model::Kit& kit) { kit.panel.supply.worst = {2001}; }, FindingId::kRailOverloaded,
         Severity::kFault, "rails.panel", "2.001 A at worst"},
        {"an inrush that its rail can't give", [](model::Kit& kit) { kit.panel.supply.inrush = {2001}; },
         FindingId::kRailOverloaded, Severity::kWarning, "rails.panel", "while it starts"},
        {"a light that draws more than its rail gives",
         [](model::Kit& kit) { kit.board.rails[2].current_max = {824}; }, FindingId::kRailOverloaded,
         Severity::kFault, "rails.light", "0.825 A"},
        {"a keypad that draws more than its rail gives", [](model::Kit& kit) { kit.keypad->current = {101}; },
         FindingId::kRailOverloaded, Severity::kFault, "rails.keypad", "its load draws 0.101 A at worst"},
        {"a keypad that loads its rail's fuse above 75 %",
         [](model::Kit& kit) {
           kit.keypad->current = {76};
           kit.board.rails[3].fuse = {100};
         },
         FindingId::kFuseOverloaded, Severity::kWarning, "fuses.keypad", "carries 76 mA"},
        {"a backlight dimmed by a voltage on a board that gives none",
         [](model::Kit& kit) { by_voltage(kit, {}); }, FindingId::kDimmingUnfit, Severity::kFault,
         "light.level_at", "gives none"},
        {"a dimming voltage above what the backlight takes",
         [](model::Kit& kit) { by_voltage(kit, {{{0}, {0}}, {{1'000'000}, {10'000}}}); },
         FindingId::kDimmingUnfit, Severity::kFault, "light.level_at",
         "At brightness 70 % board larch gives up to 7 V"},
        {"a dimming voltage below what the backlight takes",
         [](model::Kit& kit) {
           kit.settings.brightness = {{0}};
           by_voltage(kit, {{{0}, {0}}, {{1'000'000}, {3000}}});
         },
         FindingId::kDimmingUnfit, Severity::kWarning, "light.level_at", "gives down to 0 V"},
        {"a dimming voltage that spans too little of it",
         // 0.5 to 2.3 V of 0.3 to 3 V: 1.8 / 2.7 = 66.6666 %.
         [](model::Kit& kit) { by_voltage(kit, {{{0}, {500}}, {{1'000'000}, {2300}}}); },
         FindingId::kDimmingUnfit, Severity::kWarning, "light.level_at",
         "gives 0.5..2.3 V, 66.6666 % of the range"},
        {"an input too slow for the timing",
         [](model::Kit& kit) { kit.board.inputs[1].pixel_clock_max = {70'999'999}; }, FindingId::kInputUnfit,
         Severity::kFault, "video.input.hdmi-1", "up to 70.999999 MHz"},
        {"a raster that isn't the panel's",
         [](model::Kit& kit) { kit.video.timing = std::string("cvt-rb 1280 x 768 @ 60 Hz"); },
         FindingId::kTimingOutOfWindow, Severity::kFault, "timing.raster", "1280 x 768"},
        {"a pixel clock outside the panel's",
         [](model::Kit& kit) { kit.panel.signal.pixel_clock.max = {70'999'999}; },
         FindingId::kTimingOutOfWindow, Severity::kFault, "timing.pixel_clock", "71 MHz"},
        {"a line total outside the panel's", [](model::Kit& kit) { kit.panel.signal.h_total.min = {1441}; },
         FindingId::kTimingOutOfWindow, Severity::kFault, "timing.h_total", "1441..1700"},
        {"a frame total outside the panel's", [](model::Kit& kit) { kit.panel.signal.v_total.max = {822}; },
         FindingId::kTimingOutOfWindow, Severity::kFault, "timing.v_total", "823"},
        {"a refresh outside the panel's", [](model::Kit& kit) { kit.panel.signal.refresh.min = {59'911}; },
         FindingId::kTimingOutOfWindow, Severity::kFault, "timing.refresh", "59.91 Hz"},
        {"an interlaced timing",
         [](model::Kit& kit) { kit.video.timing = std::string("cvt-rb 1280 x 800i @ 60 Hz"); },
         FindingId::kTimingOutOfWindow, Severity::kFault, "timing.interlaced", "interlaced"},
        {"a line that two channels can't share",
         [](model::Kit& kit) {
           kit.panel.link.channels = 2;
           model::Timing timing{{71'000'000}, {1280}, {47}, {32}, {80}, {800}, {3}, {6}, {14}};
           kit.video.timing = timing;
         },
         FindingId::kTimingOutOfWindow, Severity::kWarning, "timing.h_total", "2 channels"},
        {"more channels than the board drives", [](model::Kit& kit) { kit.panel.link.channels = 4; },
         FindingId::kLinkOverLimit, Severity::kFault, "panel_link.channels", "4 channels"},
        {"a channel clock above the board's",
         [](model::Kit& kit) { kit.board.link.channel_clock_max = {70'999'999}; }, FindingId::kLinkOverLimit,
         Severity::kFault, "panel_link.channel_clock", "needs 71 MHz"},
        {"a link of another kind", [](model::Kit& kit) { kit.panel.link.kind = model::LinkKind::kEdp; },
         FindingId::kLinkOverLimit, Severity::kFault, "panel_link.kind", "takes edp"},
        {"lanes faster than the board's",
         [](model::Kit& kit) {
           kit.panel.link.kind = kit.board.link.kind = model::LinkKind::kEdp;
           kit.panel.link.lane_rate = {{5'400'000}};
           kit.board.link.lane_rate_max = {{2'700'000}};
         },
         FindingId::kLinkOverLimit, Severity::kFault, "panel_link.lane_rate", "run at 5.4 Gbit/s"},
        {"lanes that can't carry the pixels",
         // 71 MHz x 24 bit = 1.704 Gbit/s; one lane of 1.62 Gbit/s carries 1.296.
         [](model::Kit& kit) {
           kit.panel.link.kind = kit.board.link.kind = model::LinkKind::kEdp;
           kit.panel.link.lane_rate = {{1'620'000}};
           kit.board.link.lane_rate_max = {{2'700'000}};
         },
         FindingId::kLinkOverLimit, Severity::kFault, "panel_link.payload", "needs 1.704 Gbit/s"},
        {"a dimming frequency the light doesn't take", [](model::Kit& kit) { kit.board.light.pwm = {139}; },
         FindingId::kPwmFrequency, Severity::kFault, "settings.pwm_frequency_hz", "139 Hz"},
        {"a dimming frequency the board doesn't make",
         [](model::Kit& kit) {
           kit.settings.pwm_frequency = {{900}};
           kit.board.light.pwm_range.max = {800};
         },
         FindingId::kPwmFrequency, Severity::kFault, "settings.pwm_frequency_hz",
         "the board dims at 100..800 Hz"},
        {"a brightness whose duty the light doesn't take",
         [](model::Kit& kit) { kit.panel.backlight.dimming.duty.max = {350'000}; }, FindingId::kPwmDuty,
         Severity::kFault, "settings.brightness_permille", "36 %"},
        {"a cable whose board end mates with nothing",
         [](model::Kit& kit) { kit.cables["W3"].board_family = "keypad-out-9"; }, FindingId::kCableUnfit,
         Severity::kFault, "cables.W3", "keypad-out-9"},
        {"a cable whose far end mates with nothing",
         [](model::Kit& kit) { kit.cables["W2"].far_family = "light-9"; }, FindingId::kCableUnfit,
         Severity::kFault, "cables.W2", "light-9"},
        {"no cable for the panel link", [](model::Kit& kit) { kit.cables.erase("W1"); },
         FindingId::kCableUnfit, Severity::kFault, "cables.panel link", "panel-out-20 to panel-30"},
        {"no cable for the backlight", [](model::Kit& kit) { kit.cables.erase("W2"); },
         FindingId::kCableUnfit, Severity::kFault, "cables.backlight", "light-out-6 to light-6"},
        {"no cable for the keypad", [](model::Kit& kit) { kit.cables.erase("W3"); }, FindingId::kCableUnfit,
         Severity::kFault, "cables.keypad", "keypad-5"},
        {"a wire on the wrong pin", [](model::Kit& kit) { kit.cables["W2"].wires[0].far_pin = 5; },
         FindingId::kCableSupplyOnSignal, Severity::kDanger, "cables.W2", "brings VLIGHT to LIGHT_EN"},
        {"a cable whose connector nobody described", [](model::Kit& kit) { kit.keypad->nets.clear(); },
         FindingId::kCableNotFollowed, Severity::kNote, "cables.W3", "keypad names no nets"},
        {"a gauge that is none", [](model::Kit& kit) { kit.cables["W2"].wires[0].gauge = "thin"; },
         FindingId::kCableGaugeUnknown, Severity::kWarning, "cables.W2", "'thin' is no gauge"},
        {"a cable on which too much drops",
         // 3 m of AWG 26 at 60 °C is 464.8 mΩ a wire, with two contacts 504.8 mΩ; two of them
         // out and two back: 504.9 mΩ. 9.6 W from 11.64 V: (11.64 + sqrt(135.49 - 19.39)) / 2 = 11.207 V.
         [](model::Kit& kit) {
           kit.cables["W2"].length = {3'000'000};
           kit.panel.backlight.supply.min = {11'208};
         },
         FindingId::kCableDrop, Severity::kFault, "cables.W2", "VLIGHT 11.207 V may be left"},
        {"a supply that surges above the board",
         [](model::Kit& kit) { kit.supply.extremes = {{{10'000}}, {}, {{36'000}}}; },
         FindingId::kSupplyExtremes, Severity::kDanger, "supply.extremes", "surge can destroy"},
        {"a supply that dips below the board",
         [](model::Kit& kit) { kit.supply.extremes = {{{6'000}}, {}, {{28'000}}}; },
         FindingId::kSupplyExtremes, Severity::kWarning, "supply.extremes", "dip restarts"},
        {"a vehicle's surge on a light that the supply is handed on to",
         [](model::Kit& kit) {
           kit.board.rails[2].origin = model::RailOrigin::kPassedThrough;
           kit.board.rails[2].choices.clear();
           kit.supply.voltage = {{{11'640}}, {{12'000}}, {{12'360}}};
           kit.supply.extremes = {{{9'000}}, {}, {{16'000}}};  // above the light's 15 V
         },
         FindingId::kSupplyExtremes, Severity::kDanger, "rails.light", "a surge destroys it"},
        {"a surge that only stresses it",
         [](model::Kit& kit) {
           kit.board.rails[2].origin = model::RailOrigin::kPassedThrough;
           kit.board.rails[2].choices.clear();
           kit.supply.voltage = {{{11'640}}, {{12'000}}, {{12'360}}};
           kit.supply.extremes = {{{11'000}}, {}, {{15'000}}};
         },
         FindingId::kSupplyExtremes, Severity::kWarning, "rails.light", "stressed for moments"},
        {"a fuse that carries more than 75 %",
         // 17.813 W / 22.8 V = 782 mA; 75 % of 1042 mA is 781.5 mA.
         [](model::Kit& kit) { kit.board.input_supply.fuse = {1042}; }, FindingId::kFuseOverloaded,
         Severity::kWarning, "fuses.input", "carries 0.782 A"},
        {"a rail's fuse as well", [](model::Kit& kit) { kit.board.rails[2].fuse = {1000}; },
         FindingId::kFuseOverloaded, Severity::kWarning, "fuses.light", "carries 0.825 A"},
        {"a board that gives the panel too little rest",
         [](model::Kit& kit) {
           kit.panel.sequence.rest.min = {500'000};
           kit.board.sequence = host::model::Board::Sequence{};
           kit.board.sequence->rest = {{{499'999}}, {}, {{600'000}}};
         },
         FindingId::kSequenceOutOfWindow, Severity::kFault, "sequence.rest", "latches up"},
        {"a light that comes too soon",
         [](model::Kit& kit) {
           kit.board.sequence = host::model::Board::Sequence{};
           kit.board.sequence->signal_to_light = {{{150'000}}, {}, {{250'000}}};
         },
         FindingId::kSequenceOutOfWindow, Severity::kWarning, "sequence.signal_to_light", "takes >= 200 ms"},
        {"a dimming frequency that beats with the refresh",
         // 3 x 59.910 Hz = 179.73 Hz: 3.27 Hz apart.
         [](model::Kit& kit) { kit.board.light.pwm = {183}; }, FindingId::kPwmBeat, Severity::kNote,
         "settings.pwm_frequency_hz", "3.27 Hz from a multiple of 59.91 Hz"},
        {"pulses that are too short to follow",
         // The lowest brightness is a duty of 10 %, turned over 90 %: 10 % of 1/101 kHz is 990 ns.
         [](model::Kit& kit) {
           kit.board.light.pwm = {101'000};
           kit.board.light.pwm_range.max = {200'000};
           kit.panel.backlight.dimming.frequency.max = {200'000};
         },
         FindingId::kPwmOnTime, Severity::kWarning, "settings.pwm_frequency_hz", "lasts 990 ns"},
        {"an input that answers no EDID",
         [](model::Kit& kit) { kit.board.inputs[1].edid = model::EdidOrigin::kNone; },
         FindingId::kEdidMissing, Severity::kWarning, "video.edid.hdmi-1", "sends dmt 04h, 640 x 480"},
        {"a fixed EDID of another raster", [](model::Kit& kit) { fix_edid(kit, {"dmt 10h"}); },
         FindingId::kEdidTimingDiffers, Severity::kFault, "video.edid.hdmi-1",
         "The panel takes a raster of 1280 x 800"},
        {"a fixed EDID whose frame is too long for the panel",
         // CVT with standard blanking: 83.5 MHz, 1680 x 831; as 75 Hz 106.5 MHz, which the panel doesn't
         // take.
         [](model::Kit& kit) { fix_edid(kit, {"cvt 1280 x 800 @ 75 Hz"}); }, FindingId::kEdidTimingDiffers,
         Severity::kFault, "video.edid.hdmi-1", "The panel takes a pixel clock of 68..85 MHz, not 106.5 MHz"},
        {"a fixed EDID that is faster than the input",
         [](model::Kit& kit) {
           fix_edid(kit, {"cvt 1280 x 800 @ 60 Hz"});
           kit.board.inputs[1].pixel_clock_max = {80'000'000};
         },
         FindingId::kEdidTimingDiffers, Severity::kFault, "video.edid.hdmi-1",
         "Input hdmi-1 takes up to 80 MHz"},
        {"a fixed EDID that the panel takes, but isn't the kit's",
         [](model::Kit& kit) { fix_edid(kit, {"cvt 1280 x 800 @ 60 Hz"}); }, FindingId::kEdidTimingDiffers,
         Severity::kWarning, "video.edid.hdmi-1", "Panel and input take it"},
        {"a timing that a TMDS link can't carry",
         [](model::Kit& kit) {
           model::Timing timing{{24'000'000}, {1280}, {48}, {32}, {80}, {800}, {3}, {6}, {14}};
           kit.video.timing = timing;
         },
         FindingId::kEdidTimingDiffers, Severity::kFault, "video.edid.hdmi-1",
         "Passed over: detailed 1280 x 800: 24 MHz, the interface carries no less than 25 MHz"},
        {"a timing that no EDID can tell",
         [](model::Kit& kit) {
           // A front porch has ten bits, and a line total of 4095 at most is more than it can hold.
           model::Timing timing{{71'000'000}, {1280}, {1100}, {32}, {80}, {800}, {3}, {6}, {14}};
           kit.video.timing = timing;
         },
         FindingId::kEdidImpossible, Severity::kWarning, "video.edid.hdmi-1",
         "No EDID can tell this kit's timing"},
        {"a draft panel", [](model::Kit& kit) { kit.panel.about.status = model::Status::kDraft; },
         FindingId::kKitNotReleased, Severity::kNote, "panel.marl", "draft"},
        {"a withdrawn cable",
         [](model::Kit& kit) { kit.cables["W2"].about.status = model::Status::kWithdrawn; },
         FindingId::kKitNotReleased, Severity::kWarning, "cable.w-light", "withdrawn"},
    };
    for (const Provocation& provocation : provocations) {
      CAPTURE(std::string(provocation.what));
      model::Kit kit = tests::sound_kit();
      provocation.spoil(kit);
      const auto expectation = tests::expectation_of(kit);
      const model::Finding* finding = nullptr;
      for (const auto& one : expectation.findings) {
        if (one.id == provocation.id && one.subject == provocation.subject) finding = &one;
      }
      CHECK(finding != nullptr);
      if (finding == nullptr) continue;
      CHECK(finding->severity == provocation.severity);
      CAPTURE(finding->consequence);
      CHECK(finding->consequence.find(provocation.says) != std::string::npos);
      CHECK_FALSE(finding->expected.empty());
      CHECK_FALSE(finding->actual.empty());
      CHECK_FALSE(finding->remedy.empty());
    }
  }

  TEST_CASE("at a limit exactly nothing is found") {
    auto kit = tests::sound_kit();
    kit.supply.power = {22'267};  // 17.813 W is 79.999 %
    kit.panel.supply.inrush = {2000};
    kit.board.rails[2].current_max = {825};
    kit.board.inputs[1].pixel_clock_max = {71'000'000};
    kit.board.link.channel_clock_max = {71'000'000};
    kit.panel.signal.pixel_clock.max = {71'000'000};
    kit.panel.signal.h_total.min = {1440};
    kit.panel.backlight.dimming.duty.max = {360'000};
    kit.supply.extremes = {{{9'000}}, {}, {{28'000}}};
    kit.board.input_supply.fuse = {1043};
    kit.board.sequence = host::model::Board::Sequence{};
    kit.board.sequence->signal_to_light = {{{200'000}}, {}, {{250'000}}};
    CHECK(tests::expectation_of(kit).findings.empty());
  }

  TEST_CASE("a fixed EDID that prefers the kit's own timing is no finding, and an unknown name an error") {
    auto kit = tests::sound_kit();
    fix_edid(kit, {"cvt-rb 1280 x 800 @ 60 Hz", "dmt 04h"});
    const auto expectation = tests::expectation_of(kit);
    CHECK(expectation.findings.empty());
    CHECK(expectation.source.origin == model::EdidOrigin::kFixed);
    CHECK(expectation.source.choice.rule == signal::ChoiceRule::kPreferred);
    fix_edid(kit, {"dmt 99h"});
    const auto refused = expect::derive(kit);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().front().what == "unknown timing 'dmt 99h' in the EDID of input hdmi-1");
  }

  TEST_CASE("an EDID that is handed over stands in the place of the board's, and replaces its findings") {
    auto kit = tests::sound_kit();
    kit.board.inputs[1].edid = model::EdidOrigin::kNone;
    auto expectation = tests::expectation_of(kit);
    REQUIRE(expectation.findings.size() == 1);
    const auto right = *expect::edid::presented_edid(kit, expectation.timing, {"QZX", 2026});
    present(expectation, kit, right);
    CHECK(expectation.findings.empty());
    CHECK(expectation.source.given);
    auto damaged = right;
    damaged[40] ^= 0x10;
    present(expectation, kit, damaged);
    const auto* finding = tests::find(expectation.findings, FindingId::kEdidDamaged);
    REQUIRE(finding != nullptr);
    CHECK(finding->severity == Severity::kFault);
    const auto other = *expect::edid::presented_edid(kit, *signal::find_timing("dmt 10h"), {"QZX", 2026});
    present(expectation, kit, other);
    REQUIRE(expectation.findings.size() == 1);
    CHECK(expectation.findings.front().id == FindingId::kEdidTimingDiffers);
    CHECK(expectation.findings.front().expected == "1280 x 800 of 1440 x 823, 71 MHz");
    CHECK(expectation.findings.front().actual == "1024 x 768 of 1344 x 806, 65 MHz");
  }

  TEST_CASE("findings stand gravest first") {
    auto kit = tests::sound_kit();
    kit.about.status = model::Status::kDraft;
    kit.supply.voltage = {{{30'000}}, {{32'000}}, {{34'000}}};
    kit.board.link.channels_max = 0;
    const auto expectation = tests::expectation_of(kit);
    REQUIRE(expectation.findings.size() >= 3);
    for (std::size_t i = 1; i < expectation.findings.size(); ++i) {
      CHECK(expectation.findings[i - 1].severity <= expectation.findings[i].severity);
    }
    CHECK(expectation.findings.front().severity == Severity::kDanger);
    CHECK(expectation.findings.back().severity == Severity::kNote);
  }
}
