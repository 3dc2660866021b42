#include <doctest/doctest.h>

#include "sim/script/script.hpp"

using namespace sim::script;
using protocol::base::Instant;
using protocol::base::milliseconds;

namespace {

host::model::Loaded<Script> script(std::string text) {
  return parse_script({"s.toml", std::move(text)});
}

// All errors, one a line, as "line:column what; remedy".
std::string errors(const std::string& text) {
  const auto loaded = script(text);
  REQUIRE_FALSE(loaded);
  std::string all;
  for (const auto& error : loaded.error()) {
    all += std::to_string(error.place.line) + ":" + std::to_string(error.place.column) + " " + error.what +
           "; " + error.remedy + "\n";
  }
  return all;
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_SUITE("sim/script/script_file") {
  TEST_CASE("entries come in order of time, acts before expectations of the same instant") {
    const auto loaded = script(R"(
title = "t"
end = "60 s"
[[expect]]
at = "5 s"
screen = "dark"
[[event]]
at = "5 s"
fault = "lamp-worn"
[[event]]
at = "100 ms"
unplug = true
[[event]]
at = "5 s"
unit = 2
strap = "BR1=2-3"
[[expect]]
at = "20 s"
point = "rails.panel_out_mv"
min = 3135
max = 3465
)");
    REQUIRE(loaded);
    REQUIRE(loaded->entries.size() == 5);
    CHECK(std::get<Act>(loaded->entries[0].what) == Act{Verb::kUnplug, ""});
    CHECK(std::get<Act>(loaded->entries[1].what) == Act{Verb::kFault, "lamp-worn"});
    CHECK(std::get<Act>(loaded->entries[2].what) == Act{Verb::kStrap, "BR1=2-3"});
    CHECK(loaded->entries[2].unit == 2);
    CHECK(std::get<EyeWish>(loaded->entries[3].what).screen == "dark");
    CHECK(loaded->entries[3].place.line == 6);
    CHECK(std::get<PointWish>(loaded->entries[4].what).max == 3'465);
    CHECK(loaded->entries[4].at == Instant{} + milliseconds(20'000));
    CHECK(loaded->end == Instant{} + milliseconds(60'000));
  }

  TEST_CASE("every mistake is told at once, each with its place and what would be right") {
    const std::string all = errors(R"([[event]]
at = "5 s"
falt = "lamp-worn"
[[event]]
fault = "lamp-worn"
[[event]]
at = "5"
key = "menu"
[[event]]
at = "5 s"
unplug = false
reset = true
[[expect]]
at = "1 s"
point = "rails.panel_out_mw"
is = 5
[[expect]]
at = "1 s"
screen = "blank"
look = ["dimm"]
[[expect]]
at = "1 s"
)");
    CHECK(has(all, "unknown key 'falt'"));
    CHECK(has(all, "'fault'"));
    CHECK(has(all, "3:1"));
    CHECK(has(all, "'at'"));
    CHECK(has(all, "11:"));
    CHECK(has(all, "12:"));
    CHECK(has(all, "there is no point 'rails.panel_out_mw'; did you mean 'rails.panel_out_mv'?"));
    CHECK(has(all, "20:"));
    CHECK(has(all, "'dim'"));
    CHECK(has(all, "nothing is expected"));
  }

  TEST_CASE("a choice is expected by a name it has") {
    CHECK(script("[[expect]]\nat = \"1 s\"\npoint = \"power.state\"\nis = \"on\"\n"));
    CHECK(has(errors("[[expect]]\nat = \"1 s\"\npoint = \"power.state\"\nis = \"onn\"\n"), "'on'"));
  }

  TEST_CASE("an empty script, one that is no TOML and one without a file are errors") {
    CHECK(has(errors(""), "does nothing"));
    CHECK(has(errors("[[event"), "1:"));
    CHECK(load_script("/nonexistent/s.toml").error().front().kind == host::model::FileError::Kind::kMissing);
  }
}
