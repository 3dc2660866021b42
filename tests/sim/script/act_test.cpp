#include "sim/script/act.hpp"

#include <doctest/doctest.h>

using namespace sim::script;

TEST_SUITE("sim/script/act") {
  TEST_CASE("every verb is read with its argument and written the same way") {
    for (const char* text : {"power off", "power 10.5 V", "plug cvt-rb 1280 x 800 @ 60 Hz", "unplug",
                             "key menu", "fault supply-low=10 V", "mend supply-low",
                             "setting brightness=60 %", "ambient 40 °C", "strap BR1=2-3", "reset"}) {
      CAPTURE(std::string{text});
      const auto act = parse_act(text);
      REQUIRE(act);
      CHECK(to_text(*act) == text);
    }
    CHECK(parse_act("  fault \t lamp-worn \r") == Act{Verb::kFault, "lamp-worn"});
  }

  TEST_CASE("what is no command says what would be") {
    CHECK(parse_act("falt x").error().find("did you mean 'fault'") != std::string::npos);
    CHECK(parse_act("fault").error() == "fault takes NAME[=ARG]");
    CHECK(parse_act("unplug now").error() == "unplug takes nothing behind it");
    CHECK_FALSE(parse_act(""));
    CHECK(parse_act(std::string(100'000, 'x')).error().size() < 400);
  }
}
