#include "sim/script/run.hpp"

#include <doctest/doctest.h>

using namespace sim::script;
using protocol::base::Instant;
using protocol::base::milliseconds;
using protocol::points::Point;

namespace {

// Notes what is done to it and when, and reads as it is told.
class Puppet final : public Subject {
 public:
  tl::expected<void, std::string> perform(const Act& act) override {
    done.push_back(std::to_string(lived.time_since_epoch().count() / 1000) + " " + to_text(act));
    if (act.verb == Verb::kKey) return tl::unexpected(std::string{"this unit has no keypad"});
    reading = std::stoll("0" + act.argument);
    return {};
  }
  sim::unit::Value value(Point) const override { return reading; }
  Truth truth() const override { return {{}, {}, {"picture", {"dim", "soft"}, "always"}, {}}; }
  void live_until(Instant until) override {
    CHECK(until >= lived);
    lived = until;
  }

  Instant lived{};
  std::int64_t reading = 0;
  std::vector<std::string> done;
};

Script script(const std::string& text) {
  auto loaded = parse_script({"s.toml", text});
  REQUIRE(loaded);
  return *std::move(loaded);
}

constexpr const char* kTwo = R"([[event]]
at = "1 s"
power = "3300"
[[event]]
at = "2 s"
unit = 2
ambient = "7"
[[expect]]
at = "3 s"
point = "rails.panel_out_mv"
min = 3135
max = 3465
)";

}  // namespace

TEST_SUITE("sim/script/run") {
  TEST_CASE("acts come at their time, in order, each to its unit, however late anyone looks") {
    const Script two = script(kTwo);
    for (const bool late : {false, true}) {
      Puppet one;
      Puppet other;
      Run run{two, {&one, &other}};
      if (late) run.go_on(Instant{} + milliseconds(60'000));
      while (const auto next = run.next()) run.go_on(*next);
      CHECK(one.done == std::vector<std::string>{"1000 power 3300"});
      CHECK(other.done == std::vector<std::string>{"2000 ambient 7"});
      CHECK(run.failures().empty());
      CHECK(run.expectations() == 1);
      CHECK(one.lived == Instant{} + milliseconds(3'000));
    }
  }

  TEST_CASE("what is not as expected is told with file, line, time, wish and reading") {
    const Script wrong = script(R"([[event]]
at = "1 s"
power = "5012"
[[expect]]
at = "2 s"
point = "rails.panel_out_mv"
min = 3135
max = 3465
[[expect]]
at = "2 s"
screen = "picture"
look = "dim"
[[event]]
at = "3 s"
key = "menu"
[[event]]
at = "4 s"
unit = 2
reset = true
)");
    Puppet one;
    Run run{wrong, {&one}};
    while (const auto next = run.next()) run.go_on(*next);
    REQUIRE(run.failures().size() == 4);
    CHECK(host::model::to_text(run.failures()[0])
              .starts_with("s.toml:6:9: at 2 s: expected rails.panel_out_mv 3135..3465 mV, read 5012 mV"));
    CHECK(run.failures()[1].what == "at 2 s: expected look [dim], saw [dim, soft]");
    CHECK(run.failures()[2].what == "at 3 s: this unit has no keypad");
    CHECK(run.failures()[3].what == "at 4 s: there is no unit 2; 1 runs");
  }

  TEST_CASE("numbers, bounds, names of choices and silence are held against what is read") {
    using protocol::points::Unread;
    PointWish wish{Point::kRailsPanelOutMv, 10, 20, {}, {}};
    CHECK_FALSE(difference(wish, std::int64_t{10}));
    CHECK_FALSE(difference(wish, std::int64_t{20}));
    CHECK(difference(wish, std::int64_t{21}) == "expected rails.panel_out_mv 10..20 mV, read 21 mV");
    CHECK(difference(wish, Unread::kAsleep) ==
          "expected rails.panel_out_mv 10..20 mV, read nothing (asleep)");
    wish = {Point::kRailsPanelOutMv, {}, {}, {}, Unread::kAsleep};
    CHECK_FALSE(difference(wish, Unread::kAsleep));
    CHECK(difference(wish, Unread::kNotFitted));
    CHECK(difference(wish, std::int64_t{0}) == "expected rails.panel_out_mv nothing (asleep), read 0 mV");
    wish = {Point::kPowerState, {}, {}, "standby", {}};
    CHECK_FALSE(difference(wish, std::int64_t{1}));
    CHECK(difference(wish, std::int64_t{4}) == "expected power.state standby, read on");
  }
}
