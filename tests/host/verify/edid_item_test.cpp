#include <algorithm>
#include <random>

#include <doctest/doctest.h>

#include "host/expect/edid/presented.hpp"
#include "host/signal/find_timing.hpp"
#include "host/verify/acquire.hpp"
#include "host/verify/document.hpp"
#include "tests/host/verify/bench.hpp"
#include "tests/host/verify/memory_unit.hpp"
#include "tests/support/json_schema.hpp"
#include "tests/support/run_program.hpp"

using host::model::FindingId;
using host::model::Severity;
using host::verify::State;
using host::verify::Verdict;
using protocol::points::Point;

namespace {

using Octets = std::vector<std::uint8_t>;

constexpr std::string_view kItem = "edid.hdmi-1";

// A kit that needs 1024 x 768 at 60 Hz, VESA DMT 10h: 65 MHz, 1344 x 806 in all.
Bench bench_of_dmt10() {
  Bench bench;
  bench.expectation.timing = host::signal::find_timing("dmt 10h").value();
  bench.kit.panel.signal.raster_columns = {1024};
  bench.kit.panel.signal.raster_lines = {768};
  bench.kit.panel.glass.columns = {1024};
  bench.kit.panel.glass.lines = {768};
  bench.kit.panel.glass.width = {304'000};
  bench.kit.panel.glass.height = {228'000};
  return bench;
}

Octets presented(const Bench& bench, std::string_view timing) {
  return host::expect::edid::presented_edid(bench.kit, host::signal::find_timing(timing).value(),
                                            {"QZX", 2026})
      .value();
}

Bench with_edid(std::string_view timing) {
  Bench bench = bench_of_dmt10();
  bench.snapshot.edid = presented(bench, timing);
  return bench;
}

void mend_checksum(Octets& edid, std::size_t block) {
  const auto first = edid.begin() + static_cast<std::ptrdiff_t>(block * 128);
  unsigned sum = 0;
  std::for_each(first, first + 127, [&](std::uint8_t octet) { sum += octet; });
  *(first + 127) = static_cast<std::uint8_t>(0U - sum);
}

bool has(std::string_view text, std::string_view part) {
  return text.find(part) != std::string_view::npos;
}

/// A unit that has its EDID's file and can't read it: exception 04, AP V1.1b3, 7.
class FailingFiles final : public MemoryReader {
 public:
  using MemoryReader::MemoryReader;
  host::link::Result<std::vector<std::uint16_t>> read_files(
      std::span<const protocol::pdu::FileRecord> /*groups*/) override {
    auto error = host::link::link_error(host::link::Fault::kRefused, "refused");
    error.exception_code = 4;
    return tl::unexpected{error};
  }
};

}  // namespace

TEST_SUITE("host/verify/edid_item") {
  TEST_CASE("an EDID from which a source chooses the kit's timing is one more required item that is met") {
    const auto without = bench_of_dmt10().judge();
    const auto judgement = with_edid("dmt 10h").judge();
    const auto& item = item_of(judgement, kItem);
    CHECK(item.state == State::kMatch);
    CHECK(item.expected == "1024 x 768 of 1344 x 806, 65 MHz");
    CHECK(item.actual == item.expected);
    CHECK(item.evidence == host::model::Evidence::kDeclared);
    CHECK(finding_of(judgement, kItem) == nullptr);
    CHECK(judgement.verdict == Verdict::kPass);
    CHECK(judgement.coverage.required == without.coverage.required + 1);
    CHECK(judgement.coverage.known == without.coverage.known + 1);
  }

  TEST_CASE("a damaged first block is a fault that names the octet") {
    Bench bench = with_edid("dmt 10h");
    bench.snapshot.edid[0x3A] ^= 0x10U;
    const auto judgement = bench.judge();
    const auto* finding = finding_of(judgement, kItem);
    REQUIRE(finding != nullptr);
    CHECK(finding->id == FindingId::kEdidDamaged);
    CHECK(finding->severity == Severity::kFault);
    CHECK(has(finding->consequence, "octet 127: checksum"));
    CHECK(has(finding->actual, "640 x 480"));
    CHECK(has(finding->remedy, "edid make"));
    CHECK(item_of(judgement, kItem).state == State::kMismatch);
    CHECK(judgement.verdict == Verdict::kFail);

    bench.snapshot.edid.assign(128, 0);
    CHECK(finding_of(bench.judge(), kItem)->id == FindingId::kEdidDamaged);
  }

  TEST_CASE("damage that leaves the choice as it should be is a warning, never silence") {
    Bench bench = with_edid("dmt 10h");
    REQUIRE(bench.snapshot.edid.size() == 256);
    const auto warned = [](const Bench& one) {
      const auto judgement = one.judge();
      const auto* finding = finding_of(judgement, kItem);
      return finding != nullptr && finding->id == FindingId::kEdidDamaged &&
             finding->severity == Severity::kWarning && item_of(judgement, kItem).state == State::kMatch &&
             judgement.verdict == Verdict::kPass;
    };
    Bench extension = bench;
    extension.snapshot.edid[255] ^= 1U;
    CHECK(warned(extension));
    Bench announced = bench;
    announced.snapshot.edid.resize(128);
    CHECK(warned(announced));
    // A second extension is not read, so nothing is said of its absence.
    Bench more = bench;
    more.snapshot.edid[126] = 2;
    mend_checksum(more.snapshot.edid, 0);
    CHECK(finding_of(more.judge(), kItem) == nullptr);
    CHECK(item_of(more.judge(), kItem).state == State::kMatch);
  }

  TEST_CASE("another raster is a fault, another blanking that the panel takes a warning") {
    const Bench other = with_edid("dmt 52h");  // 1920 x 1080 at 60 Hz
    const auto judgement = other.judge();
    const auto* fault = finding_of(judgement, kItem);
    REQUIRE(fault != nullptr);
    CHECK(fault->id == FindingId::kEdidTimingDiffers);
    CHECK(fault->severity == Severity::kFault);
    CHECK(has(fault->actual, "1920 x 1080 of 2200 x 1125"));
    CHECK(judgement.verdict == Verdict::kFail);

    const auto blanking = with_edid("dmt 11h").judge();  // 1024 x 768 at 70 Hz: 75 MHz, 1328 x 806
    const auto* warning = finding_of(blanking, kItem);
    REQUIRE(warning != nullptr);
    CHECK(warning->severity == Severity::kWarning);
    CHECK(has(warning->actual, "1328 x 806, 75 MHz"));
    CHECK(item_of(blanking, kItem).state == State::kMatch);
    CHECK(blanking.verdict == Verdict::kPass);
  }

  TEST_CASE("what a source was told stands ahead of what it sends") {
    Bench bench = with_edid("dmt 52h");
    bench.read(Point::kInputLocked, 0);
    const auto judgement = bench.judge();
    REQUIRE(judgement.findings.size() == 2);
    CHECK(judgement.findings[0].subject == kItem);
    CHECK(judgement.findings[1].subject == "input.locked");
    CHECK(has(judgement.next, "edid make"));
  }

  TEST_CASE("a unit that has no file for it blocks nothing; one that can't read its own does") {
    Bench bench = bench_of_dmt10();
    const auto absent = bench.judge();
    CHECK(item_of(absent, kItem).state == State::kUnread);
    CHECK(item_of(absent, kItem).reason == "not-fitted");
    CHECK_FALSE(item_of(absent, kItem).required);
    CHECK(absent.verdict == Verdict::kPass);

    MemoryUnit unit{bench.snapshot};
    FailingFiles reader{unit};
    const auto snapshot = host::verify::acquire(reader, {.address = 1, .owner = 7, .edid_input = 0});
    REQUIRE(snapshot.has_value());
    CHECK(snapshot->trouble.empty());
    CHECK(snapshot->edid_unreadable);
    bench.snapshot.edid_unreadable = true;
    const auto unreadable = bench.judge();
    CHECK(item_of(unreadable, kItem).reason == "not-read");
    CHECK(item_of(unreadable, kItem).required);
    CHECK(unreadable.verdict == Verdict::kIncomplete);
    CHECK(has(unreadable.next, kItem));
  }

  TEST_CASE("a wrong checksum on a line that spoils frames tells nothing of the unit") {
    Bench bench = with_edid("dmt 10h");
    bench.snapshot.wire.bad_frames = 1;
    CHECK(bench.judge().verdict == Verdict::kPass);
    bench.snapshot.edid[0x3A] ^= 0x10U;
    const auto judgement = bench.judge();
    CHECK(item_of(judgement, kItem).state == State::kUnread);
    CHECK(item_of(judgement, kItem).reason == "not-read");
    CHECK(finding_of(judgement, kItem) == nullptr);
    CHECK(judgement.verdict == Verdict::kIncomplete);
  }

  TEST_CASE("a line that dies leaves it unread and required, and another board's is another input's") {
    Bench bench = bench_of_dmt10();
    bench.snapshot.trouble = "the unit answered at first, then no more";
    CHECK(item_of(bench.judge(), kItem).required);
    CHECK(bench.judge().verdict == Verdict::kIncomplete);

    Bench other = with_edid("dmt 52h");
    other.read_text(Point::kIdentityBoard, "yew");
    const auto judgement = other.judge();
    CHECK(item_of(judgement, kItem).reason == "other-board");
    CHECK(finding_of(judgement, kItem) == nullptr);
  }

  TEST_CASE("what was read takes the place of the same finding on paper, which fails the kit all the same") {
    Bench bench = with_edid("dmt 52h");
    bench.expectation.findings.push_back(host::model::make_finding(
        FindingId::kEdidTimingDiffers, "video.edid.hdmi-1", "1024 x 768", "1920 x 1080"));
    const auto read = bench.judge();
    CHECK(finding_of(read, "video.edid.hdmi-1") == nullptr);
    CHECK(finding_of(read, kItem) != nullptr);
    bench.snapshot.edid.clear();
    CHECK(finding_of(bench.judge(), "video.edid.hdmi-1") != nullptr);
    CHECK(bench.judge().verdict == Verdict::kFail);
  }

  TEST_CASE("whatever octets come, texts stay short and plain and the document keeps to its schema") {
    const std::string schema =
        tests::support::file_text(tests::support::source_path("host/verify/verify.schema.json"));
    const Bench sound = with_edid("dmt 10h");
    std::mt19937 random{20'261};
    const auto draw = [&](unsigned below) { return static_cast<unsigned>(random() % below); };
    int findings = 0;
    for (int round = 0; round < 200; ++round) {
      CAPTURE(round);
      Bench bench = sound;
      Octets& edid = bench.snapshot.edid;
      // From behind the header on; checksums mended, so that most get as far as a choice.
      for (std::size_t at = 8; at < edid.size(); ++at) {
        if (draw(2) == 0) edid[at] = static_cast<std::uint8_t>(draw(256));
      }
      mend_checksum(edid, 0);
      if (draw(2) == 0) mend_checksum(edid, 1);
      if (draw(4) == 0) edid.resize(1 + draw(256));
      const auto judgement = bench.judge();
      const auto& item = item_of(judgement, kItem);
      CHECK(item.actual.size() <= 120);
      const auto* finding = finding_of(judgement, kItem);
      if (finding == nullptr) continue;
      ++findings;
      CHECK(finding->consequence.size() <= 800);
      CHECK(std::all_of(finding->consequence.begin(), finding->consequence.end(),
                        [](char one) { return one >= ' ' && one <= '~'; }));
      if (round % 20 != 0) continue;
      const auto json = write(host::verify::to_json(bench.kit, bench.snapshot, judgement));
      CHECK(tests::support::schema_complaints_of_text(schema, json).empty());
    }
    CHECK(findings > 150);
  }
}
