#include "host/verify/acquire.hpp"

#include <algorithm>
#include <string>

#include <doctest/doctest.h>

#include "protocol/points/layout.hpp"
#include "tests/host/verify/bench.hpp"
#include "tests/host/verify/memory_unit.hpp"

using host::verify::acquire;
using host::verify::Consistency;
using protocol::points::Point;

namespace {

constexpr std::uint16_t kOwner = 0x4711;
constexpr const char* kLayout = "0D04";  // of profile 1.0; tests/protocol/points/frozen_test.cpp

}  // namespace

TEST_SUITE("host/verify/acquire") {
  TEST_CASE("a whole snapshot is latched, ours, and reads as the unit does") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    MemoryReader reader{unit};
    const auto snapshot = acquire(reader, {.address = 9, .owner = kOwner});
    REQUIRE(snapshot.has_value());
    CHECK(snapshot->consistency == Consistency::kLatched);
    CHECK(snapshot->trouble.empty());
    CHECK(snapshot->generation == 42);
    CHECK(snapshot->unit.address == 9);
    CHECK(snapshot->unit.serial == "SN-0042");
    CHECK(snapshot->unit.board == "willow");
    CHECK(number_of(*snapshot, Point::kSnapshotOwner) == kOwner);
    for (const auto& [point, reading] : bench.snapshot.points) {
      CAPTURE(static_cast<int>(point));
      const auto* read = reading_of(*snapshot, point);
      REQUIRE(read != nullptr);
      CHECK(read->number == reading.number);
      CHECK(read->text() == reading.text());
    }
    auto judged = bench;
    judged.snapshot = *snapshot;
    CHECK(judged.judge().verdict == host::verify::Verdict::kPass);
  }

  TEST_CASE("a snapshot costs few transactions, and no two reads in a row are alike") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    MemoryReader reader{unit};
    REQUIRE(acquire(reader, {.address = 1, .owner = kOwner}).has_value());
    CHECK(reader.transactions <= 8);  // the link adds its echo probe and its fence
    for (std::size_t i = 1; i < reader.reads.size(); ++i) {
      CHECK(reader.reads[i].second != reader.reads[i - 1].second);
    }
  }

  TEST_CASE("a latch of somebody else's between two reads is noticed and the set read again") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    MemoryReader reader{unit};
    int reads = 0;
    unit.before_read = [&] {
      if (++reads == 2) {
        unit.set(Point::kRailsPanelOutMv, 5012);
        unit.latch(0x0BAD);
      }
    };
    const auto snapshot = acquire(reader, {.address = 1, .owner = kOwner});
    REQUIRE(snapshot.has_value());
    CHECK(snapshot->consistency == Consistency::kLatched);
    CHECK(snapshot->generation == 44);
    CHECK(number_of(*snapshot, Point::kRailsPanelOutMv) == 5012);
  }

  TEST_CASE("a set that is torn every time stays torn, and the reading ends") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    MemoryReader reader{unit};
    unit.before_read = [&] { unit.latch(0x0BAD); };
    const auto snapshot = acquire(reader, {.address = 1, .owner = kOwner});
    REQUIRE(snapshot.has_value());
    CHECK(snapshot->consistency == Consistency::kTorn);
    CHECK(reader.transactions < 20);
    auto judged = bench;
    judged.snapshot = *snapshot;
    CHECK(judged.judge().verdict == host::verify::Verdict::kIncomplete);
  }

  TEST_CASE("a restart midway tears the set, wherever it falls") {
    const Bench bench;
    for (int at = 1; at <= 3; ++at) {
      CAPTURE(at);
      MemoryUnit unit{bench.snapshot};
      MemoryReader reader{unit};
      int reads = 0;
      unit.before_read = [&] {
        if (++reads == at) unit.restart();
      };
      const auto snapshot = acquire(reader, {.address = 1, .owner = kOwner});
      REQUIRE(snapshot.has_value());
      CHECK(snapshot->consistency == Consistency::kLatched);
      CHECK(number_of(*snapshot, Point::kSnapshotBoot) == 4);
      CHECK(reads > 3);
    }
  }

  TEST_CASE("once the line has shown a bad frame the image is read twice and has to agree") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    MemoryReader reader{unit};
    reader.statistics_now.counts.frames_bad = 1;
    const auto snapshot = acquire(reader, {.address = 1, .owner = kOwner});
    REQUIRE(snapshot.has_value());
    CHECK(snapshot->consistency == Consistency::kLatched);
    CHECK(reader.reads.size() == 5);
    CHECK(reader.transactions <= 8);
    for (std::size_t i = 1; i < reader.reads.size(); ++i) {
      CHECK(reader.reads[i].second != reader.reads[i - 1].second);
    }
  }

  TEST_CASE("an image that reads otherwise the second time is read anew") {
    // Lets damage past the checksum, in the first answer.
    class Slipping final : public MemoryReader {
     public:
      using MemoryReader::MemoryReader;

      host::link::Result<std::vector<std::uint16_t>> read(host::link::Table table, std::uint16_t address,
                                                          std::uint16_t count) override {
        auto words = MemoryReader::read(table, address, count);
        if (reads.size() == 1) words->front() = static_cast<std::uint16_t>(words->front() ^ 1U);
        return words;
      }
    };
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    MemoryReader sound{unit};
    Slipping reader{unit};
    reader.statistics_now.counts.frames_bad = 1;
    const auto right = acquire(sound, {.address = 1, .owner = kOwner});
    const auto snapshot = acquire(reader, {.address = 1, .owner = kOwner});
    REQUIRE(right.has_value());
    REQUIRE(snapshot.has_value());
    CHECK(snapshot->consistency == Consistency::kLatched);
    CHECK(reader.reads.size() == 10);
    CHECK(snapshot->points.size() == right->points.size());
    for (const auto& [point, reading] : right->points) {
      if (point == Point::kSnapshotGeneration) continue;
      CAPTURE(static_cast<int>(point));
      CHECK(snapshot->points.at(point).kind == reading.kind);
      CHECK(snapshot->points.at(point).number == reading.number);
      CHECK(snapshot->points.at(point).text() == reading.text());
    }
  }

  TEST_CASE("an older profile's shorter image is read as far as it goes") {
    const Bench bench;
    const auto ends_after = [](Point point) {
      const auto& layout = protocol::points::layout(point);
      return static_cast<std::uint16_t>(layout.image + protocol::points::register_count(layout.type));
    };
    for (const Point last : {Point::kPanelLinkRasterV, Point::kSettingsInput, Point::kInputHActive}) {
      CAPTURE(static_cast<int>(last));
      MemoryUnit unit{bench.snapshot};
      unit.image_size = ends_after(last);
      MemoryReader reader{unit};
      const auto snapshot = acquire(reader, {.address = 1, .owner = kOwner});
      REQUIRE(snapshot.has_value());
      CHECK(snapshot->consistency == Consistency::kLatched);
      CHECK(snapshot->points.contains(last));
      CHECK_FALSE(snapshot->points.contains(static_cast<Point>(static_cast<int>(last) + 1)));
      CHECK(reader.transactions <= 14);
    }
  }

  TEST_CASE("a newer minor version is read as far as it is known") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    unit.objects[0x81] = "1.2";
    unit.objects[0x83] = std::string{kLayout} + " BEEF F00D";
    MemoryReader reader{unit};
    const auto snapshot = acquire(reader, {.address = 1, .owner = kOwner});
    REQUIRE(snapshot.has_value());
    CHECK(snapshot->consistency == Consistency::kLatched);
    CHECK(snapshot->points.contains(Point::kSettingsPwmFrequencyHz));
    auto judged = bench;
    judged.snapshot = *snapshot;
    CHECK(judged.judge().verdict == host::verify::Verdict::kPass);
    // What both know is held to be alike, and every version has to be named.
    for (const std::string& layouts :
         {std::string{"BEEF BEEF F00D"}, std::string{kLayout}, std::string{kLayout} + " BEEF",
          std::string{kLayout} + " BEEF F00D 1234"}) {
      CAPTURE(layouts);
      unit.objects[0x83] = layouts;
      CHECK(acquire(reader, {.address = 1, .owner = kOwner}).error().exit_code == 65);
    }
  }

  TEST_CASE("another major version is refused, naming both") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    unit.objects[0x81] = "7.2";
    MemoryReader reader{unit};
    const auto snapshot = acquire(reader, {.address = 1, .owner = kOwner});
    REQUIRE_FALSE(snapshot.has_value());
    CHECK(snapshot.error().exit_code == 65);
    CHECK(snapshot.error().message.find("7.2") != std::string::npos);
    CHECK(snapshot.error().message.find("1.x") != std::string::npos);
    CHECK(reader.reads.empty());
  }

  TEST_CASE("what is not a unit of this profile is refused, whatever it says") {
    const Bench bench;
    for (const char* version : {"", "x", "1", "1.", ".0", "1.0 ", "1.-1", "99999999999.1", "\x1b[2J"}) {
      CAPTURE(version);
      MemoryUnit unit{bench.snapshot};
      unit.objects[0x81] = version;
      MemoryReader reader{unit};
      const auto snapshot = acquire(reader, {.address = 1, .owner = kOwner});
      REQUIRE_FALSE(snapshot.has_value());
      CHECK(snapshot.error().exit_code == 65);
      CHECK(snapshot.error().message.find('\x1b') == std::string::npos);
    }
    MemoryUnit unit{bench.snapshot};
    MemoryReader reader{unit};
    unit.objects[0x80] = "something else";
    CHECK(acquire(reader, {.address = 1, .owner = kOwner}).error().exit_code == 65);
    unit.objects.clear();
    CHECK(acquire(reader, {.address = 1, .owner = kOwner}).error().exit_code == 65);
  }

  TEST_CASE("the same version with another layout is refused") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    unit.objects[0x83] = kLayout;
    MemoryReader reader{unit};
    CHECK(acquire(reader, {.address = 1, .owner = kOwner}).has_value());
    unit.objects[0x83] = "BEEF";
    CHECK(acquire(reader, {.address = 1, .owner = kOwner}).error().exit_code == 65);
  }

  TEST_CASE("hostile texts arrive cleaned") {
    Bench bench;
    bench.read_text(Point::kIdentitySerial, "\x1b[2J\xff\xfeSN");
    bench.read_text(Point::kIdentityModel, "a\nverdict  PASS");
    MemoryUnit unit{bench.snapshot};
    unit.objects[0x84] = "\x1b]0;x";
    MemoryReader reader{unit};
    const auto snapshot = acquire(reader, {.address = 1, .owner = kOwner});
    REQUIRE(snapshot.has_value());
    for (const auto& text : {snapshot->unit.serial, snapshot->unit.model, snapshot->unit.board}) {
      CHECK(text.find('\x1b') == std::string::npos);
      CHECK(text.find('\n') == std::string::npos);
    }
  }

  TEST_CASE("a unit without a latch is read between two looks at its counters") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    unit.has_latch = false;
    MemoryReader reader{unit};
    const auto snapshot = acquire(reader, {.address = 1, .owner = kOwner});
    REQUIRE(snapshot.has_value());
    CHECK(snapshot->consistency == Consistency::kBracketed);
    auto judged = bench;
    judged.snapshot = *snapshot;
    CHECK(judged.judge().verdict == host::verify::Verdict::kPass);
  }

  TEST_CASE("a change between those looks has everything read again") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    unit.has_latch = false;
    MemoryReader reader{unit};
    int reads = 0;
    unit.before_read = [&] { unit.set(Point::kSnapshotChanges, ++reads < 12 ? reads : 12); };
    CHECK(acquire(reader, {.address = 1, .owner = kOwner})->consistency == Consistency::kBracketed);
    unit.before_read = [&] { unit.set(Point::kSnapshotChanges, ++reads); };
    CHECK(acquire(reader, {.address = 1, .owner = kOwner})->consistency == Consistency::kTorn);
  }

  TEST_CASE("without counters two rounds have to agree, and absent groups cost one request each") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    unit.has_latch = false;
    unit.absent_groups = {0x080, 0x240};
    MemoryReader reader{unit};
    CHECK(acquire(reader, {.address = 1, .owner = kOwner})->consistency == Consistency::kLoose);
    for (const std::uint16_t group : unit.absent_groups) {
      CAPTURE(group);
      const auto alone = [group](const auto& read) {
        return read.first >= group && read.first + read.second <= group + protocol::points::kGroupSpan;
      };
      CHECK(std::count_if(reader.reads.begin(), reader.reads.end(), alone) == 1);
    }
    int reads = 0;
    unit.before_read = [&] { unit.set(Point::kRailsPanelOutMv, 3000 + 500 * (++reads % 97)); };
    CHECK(acquire(reader, {.address = 1, .owner = kOwner})->consistency == Consistency::kTorn);
  }
}
