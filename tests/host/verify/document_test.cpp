#include "host/report/document.hpp"

#include <algorithm>

#include <doctest/doctest.h>

#include "host/report/json/value.hpp"
#include "host/verify/document.hpp"
#include "tests/host/verify/bench.hpp"
#include "tests/support/json_schema.hpp"
#include "tests/support/run_program.hpp"

using protocol::points::Point;

namespace {

std::string schema() {
  return tests::support::file_text(tests::support::source_path("host/verify/verify.schema.json"));
}

std::string json_of(const Bench& bench) {
  return write(host::verify::to_json(bench.kit, bench.snapshot, bench.judge()));
}

std::string text_of(const Bench& bench) {
  const auto document =
      host::verify::to_document(bench.kit, bench.expectation, bench.snapshot, bench.judge());
  return to_text(document, {.colour = false, .width = 100});
}

Bench failing() {
  Bench bench;
  bench.sense("BR1", 2);
  bench.read(Point::kRailsPanelSelectedMv, 5012);
  bench.read(Point::kRailsPanelOutMv, 5008);
  bench.unread(Point::kBacklightEnableMv, protocol::points::Unread::kAsleep);
  return bench;
}

Bench hostile() {
  Bench bench;
  bench.read_text(Point::kIdentitySerial, "\x1b[2J\xff\"\\");
  bench.snapshot.unit.serial = "\\x1b";
  bench.snapshot.trouble = "\x1b[31m";
  return bench;
}

}  // namespace

TEST_SUITE("host/verify/document") {
  TEST_CASE("every document keeps to its schema") {
    Bench empty;
    empty.snapshot = {};
    for (const Bench& bench : {Bench{}, failing(), hostile(), empty}) {
      const auto complaints = tests::support::schema_complaints_of_text(schema(), json_of(bench));
      CAPTURE(complaints.empty() ? std::string{} : complaints.front());
      CHECK(complaints.empty());
    }
  }

  TEST_CASE("the schema refuses a key it doesn't know and a word it doesn't list") {
    std::string json = json_of(Bench{});
    const auto replaced = [&](const std::string& from, const std::string& to) {
      std::string changed = json;
      const auto at = changed.find(from);
      REQUIRE(at != std::string::npos);
      return changed.replace(at, from.size(), to);
    };
    CHECK_FALSE(tests::support::schema_complaints_of_text(schema(), replaced("\"coverage\"", "\"coverages\""))
                    .empty());
    CHECK_FALSE(tests::support::schema_complaints_of_text(
                    schema(), replaced("\"verdict\": \"pass\"", "\"verdict\": \"fine\""))
                    .empty());
  }

  TEST_CASE("a unit that answered nothing is said once, and what was seen by eye is still listed") {
    Bench empty;
    empty.snapshot = {};
    empty.snapshot.unit.address = 9;
    const std::string text = text_of(empty);
    CHECK(text.find("Nothing was read at address 9: ") != std::string::npos);
    CHECK(text.find("unread: ") == std::string::npos);
    CHECK(std::count(text.begin(), text.end(), '\n') < 40);
    // The items themselves stay.
    CHECK(empty.judge().items.size() > 20);
    CHECK(json_of(empty).find("\"straps.BR1\"") != std::string::npos);
    CHECK(text_of(Bench{}).find("Nothing was read") == std::string::npos);
  }

  TEST_CASE("the JSON says which board the unit says it has, and nothing where it says none") {
    Bench bench;
    bench.snapshot.unit.board = "alder";
    CHECK(json_of(bench).find("\"board\": \"alder\"") != std::string::npos);
    CHECK(tests::support::schema_complaints_of_text(schema(), json_of(bench)).empty());
    bench.snapshot.unit.board.clear();
    CHECK(json_of(bench).find("\"board\":") == std::string::npos);
  }

  TEST_CASE("the JSON says what was read, in the units the names end with") {
    const std::string json = json_of(failing());
    CHECK(json.find("\"verdict\": \"fail\"") != std::string::npos);
    CHECK(json.find("\"danger\": true") != std::string::npos);
    CHECK(json.find("\"rails.panel_out_mv\": 5008") != std::string::npos);
    CHECK(json.find("\"backlight.enable_mv\": \"asleep\"") != std::string::npos);
    CHECK(json.find("\"subject\": \"straps.BR1\"") != std::string::npos);
  }

  TEST_CASE("on a bench danger stands first, the strap is drawn twice, and the verdict stands last") {
    const std::string text = text_of(failing());
    const auto danger = text.find("DANGER");
    const auto drawing = text.find("as expected beside as read");
    const auto items = text.find("Items");
    const auto verdict = text.rfind("FAIL");
    REQUIRE(danger != std::string::npos);
    REQUIRE(drawing != std::string::npos);
    REQUIRE(items != std::string::npos);
    REQUIRE(verdict != std::string::npos);
    CHECK(danger < drawing);
    CHECK(drawing < items);
    CHECK(items < verdict);
    CHECK(text.find("Supply off, then BR1 to 1-2.", verdict) != std::string::npos);
  }

  TEST_CASE("a pass ends with what no board can prove") {
    const std::string text = text_of(Bench{});
    CHECK(text.find("panel bias", text.rfind("PASS")) != std::string::npos);
  }

  TEST_CASE("an item says what it is known by") {
    const std::string text = text_of(Bench{});
    for (const auto* evidence : {"measured", "sensed", "at-reset", "declared", "inferred", "attested"}) {
      CAPTURE(evidence);
      CHECK(text.find(evidence) != std::string::npos);
    }
  }
}
