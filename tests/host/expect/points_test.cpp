#include <doctest/doctest.h>

#include "protocol/points/layout.hpp"
#include "protocol/points/words.hpp"
#include "tests/host/expect/kit.hpp"

using namespace host;
using expect::ExpectedPoint;
using model::FindingId;
using model::Severity;
using protocol::points::Point;
using Range = model::Bounds<std::int64_t>;

namespace {

const ExpectedPoint& at(const expect::Expectation& expectation, Point point) {
  const ExpectedPoint* expected = tests::find(expectation, point);
  CAPTURE(protocol::points::words(point).name);
  REQUIRE(expected != nullptr);
  return *expected;
}

}  // namespace

TEST_SUITE("host/expect/points") {
  TEST_CASE("every point says why, knows what a breach is called and keeps its limits gravest first") {
    const auto expectation = tests::expectation_of(tests::sound_kit());
    CHECK(expectation.points.size() > 30);
    for (const ExpectedPoint& expected : expectation.points) {
      CAPTURE(protocol::points::words(expected.point).name);
      CHECK_FALSE(expected.why.empty());
      REQUIRE_FALSE(expected.limits.empty());
      for (std::size_t i = 0; i < expected.limits.size(); ++i) {
        const auto& limit = expected.limits[i];
        if (i > 0) CHECK(expected.limits[i - 1].severity <= limit.severity);
        CHECK(limit.low < FindingId::kCount);
        CHECK(limit.high < FindingId::kCount);
        if (limit.bounds.min && limit.bounds.max) CHECK(*limit.bounds.min <= *limit.bounds.max);
        if (expected.bounds.nominal) CHECK(limit.bounds.contains(*expected.bounds.nominal));
      }
      CHECK(protocol::points::is_text(protocol::points::layout(expected.point).type) ==
            !expected.text.empty());
    }
  }

  TEST_CASE(
      "the panel rail is dangerous above the panel's window, faulty below it, suspect outside the board's") {
    const auto expectation = tests::expectation_of(tests::sound_kit());
    for (const Point point : {Point::kRailsPanelSelectedMv, Point::kRailsPanelOutMv}) {
      const ExpectedPoint& expected = at(expectation, point);
      CHECK(expected.bounds == Range{4500, 5000, 5500});
      REQUIRE(expected.limits.size() == 3);
      CHECK(expected.limits[0].severity == Severity::kDanger);
      CHECK(expected.limits[0].bounds == Range{{}, {}, 5500});
      CHECK(expected.limits[0].high == FindingId::kPanelRailHigh);
      CHECK(expected.limits[1].severity == Severity::kFault);
      CHECK(expected.limits[1].bounds == Range{4500, {}, {}});
      CHECK(expected.limits[1].low == FindingId::kPanelRailLow);
      CHECK(expected.limits[2].severity == Severity::kWarning);
      CHECK(expected.limits[2].bounds == Range{4850, {}, 5150});  // 5 V ±3 %
      CHECK(expected.can_destroy);
      CHECK(expected.uncertainty.at(5000) == 50);  // 1 % of the reading
      CHECK(expected.needs_awake == (point == Point::kRailsPanelOutMv));
    }
    CHECK(at(expectation, Point::kRailsPanelOutMvMax).bounds.max == 6000);
    CHECK(at(expectation, Point::kRailsPanelOutMa).bounds == Range{120, {}, 450});
  }

  TEST_CASE("supply, light and keypad are held to what they feed") {
    const auto expectation = tests::expectation_of(tests::sound_kit());
    const ExpectedPoint& supply = at(expectation, Point::kRailsSupplyInMv);
    CHECK(supply.bounds == Range{9000, 24'000, 28'000});  // the board's window
    CHECK(supply.limits[0].severity == Severity::kDanger);
    CHECK(supply.limits.back().bounds == Range{22'800, {}, 25'200});  // 24 V ±5 %
    CHECK(supply.can_destroy);
    CHECK(at(expectation, Point::kRailsLogicOutMv).bounds == Range{3201, 3300, 3399});  // 3.3 V ±3 %
    const ExpectedPoint& light = at(expectation, Point::kRailsLightOutMv);
    CHECK(light.bounds == Range{10'800, 12'000, 13'200});
    CHECK(light.limits.back().bounds == Range{11'640, {}, 12'360});  // 12 V ±3 %
    CHECK(at(expectation, Point::kRailsKeypadOutMv).bounds == Range{4500, 5000, 5500});
    const ExpectedPoint& dips = at(expectation, Point::kRailsBrownOuts);
    CHECK(dips.limits[0].severity == Severity::kWarning);
    CHECK_FALSE(dips.required);
  }

  TEST_CASE("a keypad that the kit has must answer with no key held, and none is asked for without one") {
    auto kit = tests::sound_kit();
    REQUIRE(kit.keypad);
    const auto with = tests::expectation_of(kit);
    CHECK(at(with, Point::kKeypadPresent).bounds == Range{1, 1, 1});
    CHECK(at(with, Point::kKeypadPresent).required);
    CHECK(at(with, Point::kKeypadKeys).bounds == Range{0, 0, 0});
    CHECK(at(with, Point::kKeypadKeys).required);
    kit.keypad.reset();
    const auto without = tests::expectation_of(kit);
    CHECK(tests::find(without, Point::kKeypadPresent) == nullptr);
    CHECK(tests::find(without, Point::kKeypadKeys) == nullptr);
  }

  TEST_CASE("duty follows brightness along the board's curve, turned over for low-is-brighter") {
    auto kit = tests::sound_kit();
    // 70 % lies between 50 % (duty 40 %) and 100 % (100 %): 40 + 60 x 20/50 = 64 %; low-is-brighter: 36 %.
    auto expectation = tests::expectation_of(kit);
    CHECK(at(expectation, Point::kBacklightPwmDutyPermille).bounds == Range{330, 360, 390});
    CHECK(expectation.backlight.duty_expected->count == 360'000);
    kit.panel.backlight.dimming.sense = model::DimmingSense::kHighIsBrighter;
    CHECK(at(tests::expectation_of(kit), Point::kBacklightPwmDutyPermille).bounds == Range{610, 640, 670});
    kit.settings.brightness = {{250'000}};  // 10 + 30 x 25/50 = 25 %
    CHECK(at(tests::expectation_of(kit), Point::kBacklightPwmDutyPermille).bounds == Range{220, 250, 280});
    kit.settings.brightness.reset();
    expectation = tests::expectation_of(kit);
    CHECK(at(expectation, Point::kBacklightPwmDutyPermille).bounds == Range{70, {}, {}});  // 10 % - 3 %
    CHECK_FALSE(expectation.backlight.duty_expected);
    CHECK(tests::find(expectation, Point::kBacklightLevelCommandedPermille) == nullptr);
    CHECK(tests::find(expectation, Point::kSettingsBrightnessPermille) == nullptr);
  }

  TEST_CASE("a line that never changes has no frequency to require") {
    auto kit = tests::sound_kit();
    CHECK(at(tests::expectation_of(kit), Point::kBacklightPwmFrequencyHz).required);
    CHECK(at(tests::expectation_of(kit), Point::kBacklightPwmFrequencyHz).bounds == Range{140, 200, 1000});
    kit.settings.brightness = {{1'000'000}};  // low-is-brighter: duty 0
    const auto expectation = tests::expectation_of(kit);
    CHECK_FALSE(at(expectation, Point::kBacklightPwmFrequencyHz).required);
    CHECK(at(expectation, Point::kBacklightPwmDutyPermille).bounds == Range{{}, 0, 30});
    kit.panel.backlight.dimming.sense = model::DimmingSense::kHighIsBrighter;
    CHECK_FALSE(at(tests::expectation_of(kit), Point::kBacklightPwmFrequencyHz).required);
    CHECK(at(tests::expectation_of(kit), Point::kBacklightPwmDutyPermille).bounds == Range{970, 1000, {}});
    kit.panel.backlight.dimming.by = model::DimmingKind::kAnalogue;
    CHECK(tests::find(tests::expectation_of(kit), Point::kBacklightPwmFrequencyHz) == nullptr);
  }

  TEST_CASE("a dimming voltage follows the brightness by the board's curve and the panel's sense") {
    auto kit = tests::sound_kit();
    kit.panel.backlight.dimming = {
        model::DimmingKind::kAnalogue, model::DimmingSense::kHighIsBrighter, {}, {}, {{{300}}, {}, {{3000}}}};
    kit.board.light.level_at = {{{0}, {500}}, {{500'000}, {1000}}, {{1'000'000}, {2900}}};
    kit.board.light.level_uncertainty = {20};
    // 70 % lies between 50 % (1 V) and 100 % (2.9 V): 1 + 1.9 x 20/50 = 1.76 V; 3 % of 2.4 V is 72 mV.
    auto expectation = tests::expectation_of(kit);
    CHECK(at(expectation, Point::kBacklightDimmingMv).bounds == Range{1688, 1760, 1832});
    CHECK(at(expectation, Point::kBacklightDimmingMv).uncertainty.at(1760) == 20);
    CHECK(at(expectation, Point::kBacklightDimmingMv).limits[0].low == FindingId::kDimmingLevel);
    CHECK(at(expectation, Point::kBacklightDimmingMv).needs_awake);
    CHECK(expectation.backlight.level_expected->count == 1760);
    CHECK(tests::find(expectation, Point::kBacklightPwmDutyPermille) == nullptr);
    // Low is brighter: that of 30 %, 0.5 + 0.5 x 30/50 = 0.8 V.
    kit.panel.backlight.dimming.sense = model::DimmingSense::kLowIsBrighter;
    CHECK(at(tests::expectation_of(kit), Point::kBacklightDimmingMv).bounds == Range{728, 800, 872});
    // Any brightness: from one end to the other.
    kit.settings.brightness.reset();
    expectation = tests::expectation_of(kit);
    CHECK(at(expectation, Point::kBacklightDimmingMv).bounds == Range{428, {}, 2972});
    CHECK_FALSE(expectation.backlight.level_expected);
    // Nothing to read where the board gives none, or hasn't fitted the point.
    kit.board.absent.push_back(Point::kBacklightDimmingMv);
    CHECK(tests::find(tests::expectation_of(kit), Point::kBacklightDimmingMv) == nullptr);
    kit.board.absent.clear();
    kit.board.light.level_at.clear();
    CHECK(tests::find(tests::expectation_of(kit), Point::kBacklightDimmingMv) == nullptr);
  }

  TEST_CASE("the enable line is held between what switches the driver on and what it bears") {
    const auto expectation = tests::expectation_of(tests::sound_kit());
    const ExpectedPoint& enable = at(expectation, Point::kBacklightEnableMv);
    CHECK(enable.bounds == Range{3500, 5000, 5500});
    CHECK(enable.limits[0].low == FindingId::kEnableLow);
    CHECK(enable.limits[1].high == FindingId::kEnableHigh);
    CHECK(enable.uncertainty.at(5000) == 50);
    CHECK(enable.needs_awake);
  }

  TEST_CASE("the input is the kit's, and its timing the kit's timing") {
    const auto expectation = tests::expectation_of(tests::sound_kit());
    CHECK(at(expectation, Point::kInputSelected).bounds == Range{1, 1, 1});
    CHECK(at(expectation, Point::kInputLocked).bounds == Range{1, 1, 1});
    CHECK(at(expectation, Point::kInputHActive).bounds == Range{1280, 1280, 1280});
    CHECK(at(expectation, Point::kInputHTotal).bounds == Range{1440, 1440, 1440});
    CHECK(at(expectation, Point::kInputVActive).bounds == Range{800, 800, 800});
    CHECK(at(expectation, Point::kInputVTotal).bounds == Range{823, 823, 823});
    CHECK(at(expectation, Point::kInputPixelClockKhz).bounds == Range{70'645, 71'000, 71'355});  // ±0.5 %
    CHECK(at(expectation, Point::kInputRefreshMillihz).bounds == Range{59'610, 59'910, 60'210});
    CHECK(at(expectation, Point::kInputInterlaced).bounds == Range{0, 0, 0});
    CHECK(protocol::points::choice(Point::kInputColourForm,
                                   *at(expectation, Point::kInputColourForm).bounds.nominal) == "rgb");
    const ExpectedPoint& polarity = at(expectation, Point::kInputVPolarity);
    CHECK(polarity.limits[0].severity == Severity::kNote);  // the panel is de-only
    CHECK(polarity.limits[0].bounds == Range{0, {}, 0});
    CHECK_FALSE(polarity.required);
    auto kit = tests::sound_kit();
    kit.panel.signal.sync = model::Sync::kSyncs;
    CHECK(at(tests::expectation_of(kit), Point::kInputHPolarity).limits[0].severity == Severity::kWarning);
  }

  TEST_CASE("the panel link is the panel's") {
    const auto expectation = tests::expectation_of(tests::sound_kit());
    CHECK(at(expectation, Point::kPanelLinkEnabled).bounds == Range{1, 1, 1});
    CHECK(at(expectation, Point::kPanelLinkChannels).bounds == Range{1, 1, 1});
    CHECK(at(expectation, Point::kPanelLinkBits).bounds == Range{24, 24, 24});
    CHECK(protocol::points::choice(Point::kPanelLinkMapping,
                                   *at(expectation, Point::kPanelLinkMapping).bounds.nominal) == "jeida-24");
    CHECK(at(expectation, Point::kPanelLinkRasterH).bounds == Range{1280, 1280, 1280});
    CHECK(at(expectation, Point::kPanelLinkRasterV).bounds == Range{800, 800, 800});
    CHECK(at(expectation, Point::kPanelLinkPixelClockKhz).bounds == Range{68'000, 71'000, 85'000});
    CHECK(at(expectation, Point::kPanelLinkPllLocked).bounds == Range{1, 1, 1});
  }

  TEST_CASE("the unit is the kit's board, on, with no fault latched and the settings the kit names") {
    auto kit = tests::sound_kit();
    kit.settings.pwm_frequency = {{250}};
    const auto expectation = tests::expectation_of(kit);
    const ExpectedPoint& board = at(expectation, Point::kIdentityBoard);
    CHECK(board.text == "larch");
    CHECK_FALSE(board.blank_is_well);
    CHECK(board.limits[0].low == FindingId::kBoardDiffers);
    CHECK(board.limits[0].severity == Severity::kFault);
    CHECK(at(expectation, Point::kStampKit).text == "bench-display");
    const ExpectedPoint& digest = at(expectation, Point::kStampKitDigest);
    CHECK(digest.text == std::string(16, 'a'));  // the point holds 16 of the 64 digits
    CHECK(digest.blank_is_well);
    CHECK(digest.limits[0].severity == Severity::kWarning);
    CHECK(protocol::points::choice(Point::kPowerState, *at(expectation, Point::kPowerState).bounds.nominal) ==
          "on");
    CHECK(at(expectation, Point::kFaultsLatched).bounds == Range{0, 0, 0});
    CHECK(at(expectation, Point::kSettingsBrightnessPermille).bounds == Range{700, 700, 700});
    CHECK(protocol::points::choice(Point::kSettingsPowerOn,
                                   *at(expectation, Point::kSettingsPowerOn).bounds.nominal) == "always");
    CHECK(at(expectation, Point::kSettingsPwmFrequencyHz).bounds == Range{250, 250, 250});
    CHECK(at(expectation, Point::kBacklightPwmFrequencyHz).bounds.nominal == 250);
  }

  TEST_CASE("what the board has not fitted is not expected") {
    auto kit = tests::sound_kit();
    const std::size_t all = tests::expectation_of(kit).points.size();
    kit.board.absent = {Point::kRailsPanelOutMa, Point::kRailsBrownOuts, Point::kIdentityBoard};
    const auto expectation = tests::expectation_of(kit);
    CHECK(expectation.points.size() == all - 3);
    for (const Point point : kit.board.absent) CHECK(tests::find(expectation, point) == nullptr);
  }
}
