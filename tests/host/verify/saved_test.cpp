#include "host/verify/saved.hpp"

#include <string>

#include <doctest/doctest.h>

#include "host/report/json/read.hpp"
#include "host/verify/document.hpp"
#include "tests/host/verify/bench.hpp"
#include "tests/support/json_schema.hpp"
#include "tests/support/run_program.hpp"

using host::verify::saved_snapshot;
using host::verify::Snapshot;
using host::verify::Verdict;
using protocol::points::Point;

namespace {

std::string json_of(const Bench& bench) {
  return write(host::verify::to_json(bench.kit, bench.snapshot, bench.judge()));
}

Snapshot reread(const std::string& text) {
  const auto document = host::report::json::read(text);
  REQUIRE(document.has_value());
  const auto snapshot = saved_snapshot(*document);
  REQUIRE_MESSAGE(snapshot.has_value(), (snapshot ? "" : snapshot.error()));
  return *snapshot;
}

std::string refusal(const std::string& text) {
  const auto document = host::report::json::read(text);
  REQUIRE(document.has_value());
  const auto snapshot = saved_snapshot(*document);
  return snapshot ? "" : snapshot.error();
}

// The document of a sound unit with the first `from` in it made `to`.
std::string changed(const std::string& from, const std::string& to) {
  std::string text = json_of(Bench{});
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

// Judged from its own document, with the kit as it was.
Bench again(const Bench& bench) {
  Bench other = bench;
  other.snapshot = reread(json_of(bench));
  CHECK(other.snapshot.taken_with->digest == bench.kit.digest);
  const auto complaints = tests::support::schema_complaints_of_text(
      tests::support::file_text(tests::support::source_path("host/verify/verify.schema.json")),
      json_of(other));
  CAPTURE(complaints.empty() ? std::string{} : complaints.front());
  CHECK(complaints.empty());
  other.snapshot.taken_with.reset();
  return other;
}

}  // namespace

TEST_SUITE("host/verify/saved") {
  TEST_CASE("readings out of a document are judged as they were") {
    Bench wrong;
    wrong.sense("BR1", 2);
    wrong.read(Point::kRailsPanelOutMv, 5008);
    wrong.unread(Point::kBacklightEnableMv, protocol::points::Unread::kAsleep);
    Bench broken_gate;
    broken_gate.snapshot.wire.gate_broken = true;
    Bench broken_off;
    broken_off.snapshot.trouble = "no answer after 3 of 5 reads";
    broken_off.snapshot.trouble_remedy = "take one off the line";
    broken_off.snapshot.shared_address = true;
    Bench torn;
    torn.snapshot.consistency = host::verify::Consistency::kTorn;
    Bench no_edid;
    no_edid.snapshot.edid_unreadable = true;
    Bench edid;
    edid.snapshot.edid = {0x00, 0xFF, 0x10, 0xA5};
    for (const Bench& bench : {Bench{}, wrong, broken_gate, broken_off, torn, no_edid, edid}) {
      const std::string before = json_of(bench);
      CHECK(json_of(again(bench)) == before);
    }
    CHECK(again(Bench{}).judge().verdict == Verdict::kPass);
    CHECK(again(broken_gate).judge().verdict == Verdict::kIncomplete);
    CHECK(again(broken_off).judge().verdict == Verdict::kIncomplete);
    CHECK(again(torn).judge().verdict == Verdict::kIncomplete);
  }

  TEST_CASE("the first kit stays the one that the readings were taken with") {
    Bench bench;
    const std::string digest = bench.kit.digest;
    bench.snapshot = reread(json_of(bench));
    bench.kit.digest = "of-another-revision";
    const Snapshot third = reread(json_of(bench));
    REQUIRE(third.taken_with.has_value());
    CHECK(third.taken_with->digest == digest);
    CHECK(third.taken_with->kit == bench.kit.about.id);
  }

  TEST_CASE("a document with a part less is refused, and says which") {
    for (const char* const key :
         {"\"schema\"", "\"unit\"", "\"address\"", "\"serial\"", "\"model\"", "\"firmware\"", "\"snapshot\"",
          "\"consistency\"", "\"generation\"", "\"points\"", "\"unread\"", "\"wire\"", "\"transactions\"",
          "\"elapsed_us\"", "\"gate_broken\"", "\"kit\"", "\"digest\"", "\"revision\""}) {
      CAPTURE(key);
      std::string other{key};
      other.insert(1, "x");
      const std::string name{key + 1, std::string{key}.size() - 2};
      CHECK(refusal(changed(key, other)).find(name) != std::string::npos);
    }
    CHECK(refusal("{}") == "schema is missing, or no text");
    CHECK(refusal("[]") == "the document is missing, or no object");
    CHECK(refusal("5") == "the document is missing, or no object");
  }

  TEST_CASE("a value that no unit can have read is refused") {
    const std::string panel = "\"rails.panel_out_mv\": ";
    for (const char* const value : {"\"5012\"", "true", "[]", "{}", "1000000000001", "-1000000000001"}) {
      CAPTURE(value);
      CHECK(refusal(changed(panel, panel + value + ", \"x\": ")) ==
            "snapshot.points.rails.panel_out_mv has a value that no unit can have read");
    }
    // A word of straps has sixteen bits, whatever a wider number would be cut to.
    const std::string strap = "\"straps.strap_0\": ";
    CHECK(refusal(changed(strap, strap + "65537, \"x\": ")).starts_with("snapshot.points.straps.strap_0"));
    CHECK(refusal(changed(strap, strap + "-1, \"x\": ")).starts_with("snapshot.points.straps.strap_0"));
    CHECK(refusal(changed("\"generation\": ", "\"generation\": 65536, \"x\": "))
              .starts_with("snapshot.generation"));
    CHECK(refusal(changed("\"latched\"", "\"sound\"")).starts_with("snapshot.consistency"));
    CHECK(refusal(changed("\"transactions\": ", "\"transactions\": -1, \"x\": "))
              .starts_with("wire.transactions"));
    const std::string unread = "\"unread\": {}";
    CHECK(refusal(changed(unread, R"("unread": {"snapshot.uptime_s": "lost"})"))
              .starts_with("snapshot.unread."));
    CHECK(refusal(changed(unread, R"("unread": {"rails.panel_out_mv": "asleep"})")) ==
          "snapshot.unread.rails.panel_out_mv is read and unread at once");
    CHECK(refusal(changed("\"unread\": {", "\"edid\": \"00f\", \"unread\": {")).starts_with("snapshot.edid"));
    CHECK(refusal(changed("\"unread\": {", "\"edid\": \"0g\", \"unread\": {")).starts_with("snapshot.edid"));
    CHECK(refusal(changed("\"unread\": {", "\"edid\": \"" + std::string(1026, '0') + "\", \"unread\": {"))
              .starts_with("snapshot.edid"));
  }

  TEST_CASE("another schema is named") {
    CHECK(refusal(changed("strapline/verify/1", "strapline/verify/2")) ==
          "schema is strapline/verify/2, not strapline/verify/1");
    CHECK(refusal(changed("strapline/verify/1", "\\u001b[31m" + std::string(200, 'x'))).size() < 160);
  }

  TEST_CASE("a point that isn't known is refused, unless the unit's profile is newer") {
    const std::string points = "\"points\": {";
    CHECK(refusal(changed(points, points + "\"rails.panel_out_mv_mx\": 5,")) ==
          "snapshot.points.rails.panel_out_mv_mx is no point of this profile");
    const auto with_profile = [&](const std::string& version, const std::string& more) {
      Bench bench;
      bench.snapshot.points.erase(Point::kIdentityProfile);
      std::string text = json_of(bench);
      return text.insert(text.find(points) + points.size(), "\"identity.profile\": " + version + "," + more);
    };
    CHECK(refusal(with_profile("256", "\"moon.phase\": 3,")).starts_with("snapshot.points.moon.phase"));
    CHECK(reread(with_profile("257", "\"moon.phase\": 3,")).points.size() ==
          Bench{}.snapshot.points.size() + 1 - Bench{}.snapshot.points.count(Point::kIdentityProfile));
    CHECK(refusal(with_profile("512", "")) ==
          "snapshot.points.identity.profile is 2.0; this program knows 1.0");
    CHECK(refusal(with_profile("\"1.0\"", "")).starts_with("snapshot.points.identity.profile"));
  }

  TEST_CASE("texts are cleaned and cut to what a unit can say") {
    Bench bench;
    bench.read_text(Point::kIdentityFirmware, "S");
    std::string text = json_of(bench);
    const std::string firmware = "\"identity.firmware\": \"S\"";
    REQUIRE(text.find(firmware) != std::string::npos);
    text.replace(text.find(firmware), firmware.size(),
                 "\"identity.firmware\": \"\\u001b\\u202e" + std::string(40, 'x') + "\"");
    const Snapshot snapshot = reread(text);
    const auto* said = reading_of(snapshot, Point::kIdentityFirmware);
    REQUIRE(said != nullptr);
    CHECK(said->text().size() == 32);
    CHECK(said->text().find('\x1b') == std::string_view::npos);
    CHECK(said->text().ends_with("xx"));
  }

  TEST_CASE(
      "what contradicts itself is refused: another serial number than was read, two units and no trouble") {
    Bench bench;
    bench.read_text(Point::kIdentitySerial, "SN-0042");
    bench.snapshot.unit.serial = "SN-0043";
    CHECK(refusal(json_of(bench)) == "unit.serial is not the one that was read, identity.serial");
    CHECK(refusal(changed("\"unread\": {", "\"shared_address\": true, \"unread\": {")) ==
          "snapshot.shared_address is said without the trouble that it is");
  }
}
