#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "sim/eye/watch.hpp"
#include "sim/unit/strap_search.hpp"
#include "tests/sim/elm_kit.hpp"

// What a person sees of a unit of the kit that elm_kit.hpp describes, ten seconds after power. It is dimmed
// to 80 %, a duty of 0.1 + 0.8 x 0.8 = 0.74; its link is jeida-24, its glass is black without data.

namespace eye = sim::eye;
namespace model = host::model;
using protocol::base::milliseconds;
using sim::unit::Unit;
using sim::unit::UnitSetup;
using tests::sim::elm_setup;
using tests::sim::live;

namespace {

std::string text_of(const eye::Seen& seen) {
  std::string text = seen.screen;
  for (const std::string& word : seen.look) text += " " + word;
  return text + ", " + seen.when;
}

UnitSetup with_channels(int channels) {
  UnitSetup setup = elm_setup();
  setup.kit.panel.link.channels = channels;
  for (model::Function& function : setup.kit.board.functions) {
    for (model::FunctionRow& row : function.rows) {
      if (auto* raster = std::get_if<model::RasterRow>(&row.value)) raster->channels = channels;
    }
  }
  setup.straps = sim::unit::healthy_positions(setup.kit).positions;
  return setup;
}

UnitSetup with_lamps() {
  UnitSetup setup = elm_setup();
  setup.kit.panel.backlight.kind = model::LightKind::kCcfl;
  return setup;
}

UnitSetup with_white_glass() {
  UnitSetup setup = elm_setup();
  setup.kit.panel.glass.unlit = model::Unlit::kWhite;
  return setup;
}

std::string seen_with(const std::string& fault, const UnitSetup& setup = elm_setup()) {
  Unit unit{setup};
  const auto parsed = sim::fault::parse_fault(fault);
  REQUIRE(parsed.has_value());
  REQUIRE(unit.inject(*parsed).has_value());
  live(unit, milliseconds(10'000));
  return text_of(eye::seen(unit));
}

struct Case {
  const char* fault;
  const char* seen;
};

void check(const std::vector<Case>& cases) {
  for (const Case& each : cases) {
    CAPTURE(each.fault);
    CHECK(seen_with(each.fault) == each.seen);
  }
}

}  // namespace

TEST_SUITE("sim/eye/fault_seen") {
  TEST_CASE("nothing wrong") {
    Unit unit{elm_setup()};
    live(unit, milliseconds(10'000));
    CHECK(text_of(eye::seen(unit)) == "picture, always");
  }

  TEST_CASE("the panel and its cable") {
    check({
        // Neither supply nor data; the light has a cable of its own.
        {"panel-cable-out", "black-lit, always"},
        // 1.5 in 10000 of 24 bits flip while it is moved: 3.6 pixels in a thousand.
        {"panel-cable-marginal", "picture sparkle, when-touched"},
        // R7..R2 are ones: red 252 and more whatever is sent. G2 as well, which nobody sees.
        {"panel-pair-open=0", "picture cast, always"},
        // DE is high in the blanking too.
        {"panel-pair-open=2", "panel-pattern, always"},
        // The two lowest bits are ones: 64 levels.
        {"panel-pair-open=3", "picture posterised, always"},
        {"panel-pair-open=clock", "black-lit, always"},
        // Red falls where grey rises.
        {"panel-pair-reversed=0", "picture negative wrong-colours, always"},
        // v xor 3: four levels this way and that.
        {"panel-pair-reversed=3", "picture, always"},
        {"panel-logic-dead", "black-lit, always"},
        {"panel-bias-dead", "black-lit, always"},
        {"panel-line-open", "picture line, always"},
        // 71 x 1.03 = 73.1 MHz, within 68 .. 74.
        {"panel-clock-off=3", "picture, always"},
        // 78.1 MHz: its controller doesn't lock.
        {"panel-clock-off=10", "black-lit, always"},
        // Half of the 80 columns and 6 lines that a panel needs which says nothing of it.
        {"panel-blanking-short", "picture rolling torn, always"},
        {"scan-direction-reversed", "picture mirrored, always"},
    });
    CHECK(seen_with("panel-channels-swapped", with_channels(2)) == "picture combed, always");
    CHECK(seen_with("panel-logic-dead", with_white_glass()) == "white, always");
    CHECK(seen_with("panel-bias-dead", with_white_glass()) == "white, always");
    CHECK(seen_with("panel-pair-open=clock", with_white_glass()) == "white, always");
  }

  TEST_CASE("the light") {
    check({
        {"backlight-cable-out", "dark-image, always"},
        {"backlight-supply-open", "dark-image, always"},
        {"backlight-supply-low=8 V", "dark-image, always"},  // 10.8 V is the least
        {"backlight-enable-stuck=low", "dark-image, always"},
        {"backlight-enable-stuck=high", "picture, always"},
        {"enable-polarity-inverted", "dark-image, always"},
        // 1 - 0.74 = 0.26, 0.35 of what is wanted.
        {"dimming-polarity-inverted", "picture brightness-reversed dim, always"},
        {"backlight-driver-dead", "dark-image, always"},
        {"backlight-string-open", "picture partly-lit, always"},
        {"pwm-stuck=20", "picture dim, always"},       // 0.20 / 0.74 = 0.27
        {"pwm-stuck=70", "picture, always"},           // 0.95
        {"pwm-stuck=100", "picture glaring, always"},  // 1.35
        {"pwm-frequency=60", "picture flicker, always"},
        {"pwm-frequency=500", "picture, always"},
        // 30 % of brightness, a duty of 0.34: 0.46 of what is wanted.
        {"dimmed-by-sensor", "picture dim, always"},
    });
    CHECK(seen_with("lamp-worn", with_lamps()) == "picture dim reddish-light, always");
    // A driver of 200 Hz at most whose shortest pulse there is 20 %: 1 ms. At 400 Hz that is 40 %: below, it
    // is dark.
    UnitSetup slow = elm_setup();
    slow.kit.panel.backlight.dimming.frequency.max = model::Hertz{200};
    slow.kit.panel.backlight.dimming.duty.min = model::PartsPerMillion{200'000};
    CHECK(seen_with("pwm-frequency=400", slow) == "picture brightness-jumps, always");
  }

  TEST_CASE("when it is so") {
    check({
        // Light 5 ms after the link, where the panel asks for 200 ms.
        {"sequence-fast-backlight", "picture flash, at-start"},
        // Every three seconds the board starts anew.
        {"supply-brownout", "dark, cycling"},
        // Idle 100 mA, with a picture 280 mA, of 150 mA: it starts, falls, and starts again.
        {"panel-rail-weak=150", "black-lit, cycling"},
        // The board dims itself to 30 %, and would not if it were cool.
        {"overheat=85", "picture dim, warm"},
        // It has switched itself off.
        {"overheat=99", "dark, warm"},
    });
  }

  TEST_CASE("right for seconds, then gone, and nobody has touched it") {
    // A fault that someone puts in is an act, and what was before it is before. A supply that dips isn't.
    Unit unit{elm_setup()};
    REQUIRE(unit.inject(*sim::fault::parse_fault("supply-brownout")).has_value());
    live(unit, milliseconds(3'300));  // after its first dip the board starts anew
    const eye::Seen seen = eye::seen(unit);
    CHECK(seen.screen == "dark");
    CHECK(seen.when == "for-seconds");
  }

  TEST_CASE("a panel that is supplied while the unit sleeps keeps a picture in its glass") {
    Unit unit{elm_setup()};
    REQUIRE(unit.inject(*sim::fault::parse_fault("panel-rail-stays-on")).has_value());
    live(unit, milliseconds(10'000));
    CHECK(text_of(eye::seen(unit)) == "picture, always");
    unit.connect_source(std::nullopt);
    live(unit, milliseconds(20'000));  // 1 - exp(-20/20) = 0.63
    CHECK(text_of(eye::seen(unit)) == "dark, always");
    unit.connect_source(tests::sim::elm_timing());
    live(unit, milliseconds(3'000));
    CHECK(text_of(eye::seen(unit)) == "picture ghost, after-sleep");
    live(unit, milliseconds(120'000));  // 0.63 exp(-120/60) = 0.085
    CHECK(text_of(eye::seen(unit)) == "picture, always");
  }

  TEST_CASE("mended is seen at once, and what was is forgotten") {
    Unit unit{elm_setup()};
    live(unit, milliseconds(10'000));
    REQUIRE(unit.inject(*sim::fault::parse_fault("backlight-cable-out")).has_value());
    live(unit, milliseconds(1'000));
    CHECK(text_of(eye::seen(unit)) == "dark-image, always");
    REQUIRE(unit.mend(sim::fault::Kind::kBacklightCableOut).has_value());
    live(unit, milliseconds(1'000));
    CHECK(text_of(eye::seen(unit)) == "picture, always");
  }

  TEST_CASE("looking counts nothing, changes nothing, and a watcher says what a single look says") {
    Unit unit{elm_setup()};
    REQUIRE(unit.inject(*sim::fault::parse_fault("dimming-polarity-inverted")).has_value());
    live(unit, milliseconds(10'000));
    const auto hits = unit.faults().front().hits;
    eye::Watcher watcher;
    for (int i = 0; i < 3; ++i) CHECK(watcher.seen(unit) == eye::seen(unit));
    CHECK(unit.faults().front().hits == hits);
    live(unit, milliseconds(1'000));
    REQUIRE(unit.mend(sim::fault::Kind::kDimmingPolarityInverted).has_value());
    live(unit, milliseconds(1'000));
    CHECK(watcher.seen(unit) == eye::seen(unit));
  }
}
