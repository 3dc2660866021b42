#include "host/signal/edid_read.hpp"

#include <algorithm>
#include <random>

#include <doctest/doctest.h>

#include "host/signal/edid_check.hpp"
#include "host/signal/edid_fields.hpp"
#include "host/signal/edid_write.hpp"
#include "tests/host/signal/golden_edids.hpp"
#include "tests/host/signal/vectors.hpp"

using namespace host;

namespace {

using Bytes = std::vector<std::uint8_t>;
using signal::EdidRule;

bool has(const std::vector<signal::EdidFault>& faults, EdidRule rule, std::size_t offset) {
  return std::ranges::any_of(
      faults, [&](const signal::EdidFault& fault) { return fault.rule == rule && fault.offset == offset; });
}

// Commas part the columns of a vector, so its lists have semicolons.
std::string as_in_vectors(std::string value) {
  std::ranges::replace(value, ',', ';');
  return value;
}

// What must hold for any bytes: whole blocks come back as they were but for their checksums, faults point
// into the bytes or just behind them and say something, and neither judging nor listing fails.
void check_properties(const Bytes& bytes) {
  const auto reading = signal::read_edid(bytes);
  for (const auto& fault : reading.faults) {
    CHECK(fault.offset <= bytes.size());
    CHECK_FALSE(fault.found.empty());
    CHECK_FALSE(fault.right.empty());
  }
  if (!reading.edid) {
    CHECK_FALSE(reading.faults.empty());
    return;
  }
  Bytes expected(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(bytes.size() / 128 * 128));
  tests::mend_checksums(expected);
  const auto written = signal::write_edid(*reading.edid);
  REQUIRE(written);
  CHECK(*written == expected);
  for (const auto& fault : signal::check_edid(*reading.edid)) CHECK(fault.offset < bytes.size());
  CHECK(signal::edid_fields(*reading.edid).size() > 30);
}

}  // namespace

TEST_SUITE("host/signal/edid_read") {
  TEST_CASE("the reference EDIDs hold what another program reads in them") {
    const auto facts = tests::read_vectors("edid/facts.csv");
    REQUIRE(facts.size() == 224);
    for (const auto& fact : facts) {
      CAPTURE(fact.at("file"));
      CAPTURE(fact.at("field"));
      const auto reading = signal::read_edid(tests::golden_edid(fact.at("file")));
      REQUIRE(reading.edid);
      const auto fields = signal::edid_fields(*reading.edid);
      const auto field = std::ranges::find(fields, fact.at("field"), &signal::EdidField::name);
      REQUIRE(field != fields.end());
      CHECK(as_in_vectors(field->value) == fact.at("value"));
    }
  }

  TEST_CASE("the reference EDIDs are without fault and come back byte for byte") {
    for (const char* name : tests::kGoldenEdids) {
      CAPTURE(name);
      const auto bytes = tests::golden_edid(name);
      REQUIRE(bytes.size() >= 128);
      const auto reading = signal::read_edid(bytes);
      REQUIRE(reading.edid);
      CHECK(reading.faults.empty());
      CHECK(signal::check_edid(*reading.edid).empty());
      const auto written = signal::write_edid(*reading.edid);
      REQUIRE(written);
      CHECK(*written == bytes);
    }
  }

  TEST_CASE("cut off at any length, what is missing is told") {
    for (const char* name : tests::kGoldenEdids) {
      const auto whole = tests::golden_edid(name);
      for (std::size_t length = 0; length < whole.size(); ++length) {
        CAPTURE(name);
        CAPTURE(length);
        const Bytes bytes(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(length));
        const auto reading = signal::read_edid(bytes);
        CHECK(reading.edid.has_value() == (length >= 128));
        CHECK_FALSE(reading.faults.empty());
        if (length < 128) {
          CHECK(has(reading.faults, EdidRule::kLength, length));
        } else {
          CHECK(has(reading.faults, EdidRule::kExtensionCount, 0x7E));
        }
        check_properties(bytes);
      }
    }
  }

  TEST_CASE("no flipped bit goes unseen, crashes or is lost in writing") {
    for (const char* name : tests::kGoldenEdids) {
      const auto whole = tests::golden_edid(name);
      for (std::size_t bit = 0; bit < whole.size() * 8; ++bit) {
        CAPTURE(name);
        CAPTURE(bit);
        Bytes bytes = whole;
        bytes[bit / 8] ^= static_cast<std::uint8_t>(1U << bit % 8);
        const auto reading = signal::read_edid(bytes);
        CHECK(has(reading.faults, bit < 64 ? EdidRule::kHeader : EdidRule::kChecksum,
                  bit < 64 ? bit / 8 : bit / 1024 * 128 + 127));
        check_properties(bytes);
      }
    }
  }

  TEST_CASE("every fifteenth value of any byte keeps the properties when the checksum is mended") {
    const auto whole = tests::golden_edid("zqj-hdmi-1920x1080");
    for (std::size_t at = 8; at < whole.size(); ++at) {
      for (unsigned value = 0; value < 256; value += 15) {
        CAPTURE(at);
        CAPTURE(value);
        Bytes bytes = whole;
        bytes[at] = static_cast<std::uint8_t>(value);
        tests::mend_checksums(bytes);
        check_properties(bytes);
      }
    }
  }

  TEST_CASE("random bytes keep the properties") {
    constexpr unsigned kSeed = 20'240'612;
    CAPTURE(kSeed);
    std::mt19937 random(kSeed);
    for (int run = 0; run < 3000; ++run) {
      CAPTURE(run);
      Bytes bytes(random() % 5 == 0 ? random() % 600 : 128 * (1 + random() % 3));
      for (auto& byte : bytes) byte = static_cast<std::uint8_t>(random());
      constexpr std::array<std::uint8_t, 8> kHeader = {0, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0};
      if (bytes.size() >= 128) {
        std::ranges::copy(kHeader, bytes.begin());
        for (std::size_t at = 128; at + 128 <= bytes.size(); at += 128) {
          bytes[at] = 2;
          if (random() % 2 == 0) bytes[at + 2] = static_cast<std::uint8_t>(random() % 128);
        }
        // Some descriptors that look like those that are taken apart.
        for (std::size_t i = 0; i < 4; ++i) {
          constexpr std::array<std::uint8_t, 5> kTags = {0xFD, 0xFC, 0xFE, 0xFF, 0x10};
          if (random() % 2 == 0) continue;
          const std::size_t at = 0x36 + 18 * i;
          bytes[at] = bytes[at + 1] = bytes[at + 2] = 0;
          bytes[at + 3] = kTags.at(random() % kTags.size());
          bytes[at + 4] = static_cast<std::uint8_t>(random() % 4);
        }
      }
      if (random() % 2 == 0) tests::mend_checksums(bytes);
      check_properties(bytes);
    }
  }

  TEST_CASE("several faults are told at once, each with its place and what would be right") {
    auto bytes = tests::golden_edid("zqj-hdmi-1920x1080");
    bytes[0x7E] = 3;         // extensions
    bytes[0x48 + 3] = 0;     // horizontal blanking of the second timing: 0370 becomes 0300h…
    bytes[0x48 + 4] = 0x50;  // …and 0, with front porch and sync left
    bytes[128 + 2] = 2;      // timings inside the header of the extension
    bytes[127] = 0;
    const auto reading = signal::read_edid(bytes);
    REQUIRE(reading.edid);
    CHECK(has(reading.faults, EdidRule::kChecksum, 127));
    CHECK(has(reading.faults, EdidRule::kChecksum, 255));
    CHECK(has(reading.faults, EdidRule::kExtensionCount, 0x7E));
    CHECK(has(reading.faults, EdidRule::kDescriptor, 0x48));
    CHECK(has(reading.faults, EdidRule::kDataBlock, 130));
    CHECK(reading.faults.size() == 5);
    // 2Ah stood there for a sum of zero; the changes above were -70h+0, -20h+0 … the right one is told, not
    // guessed.
    auto mended = bytes;
    tests::mend_checksums(mended);
    constexpr const char* kDigits = "0123456789ABCDEF";
    const std::string right = {kDigits[mended[127] >> 4], kDigits[mended[127] & 15], 'h'};
    CHECK(std::ranges::any_of(
        reading.faults, [&](const auto& fault) { return fault.offset == 127 && fault.right == right; }));
  }

  TEST_CASE("an interlaced timing carries both fields, as everywhere") {
    // 1920x1080 at 60 fields: 74.25 MHz, 88/44/148, a field of 540 + 22 lines with 2/5/15, as in code 5 of
    // CTA-861.
    auto bytes = tests::golden_edid("qjx-bar-1920x360");
    const std::array<std::uint8_t, 18> detailed = {0x01, 0x1D, 0x80, 0x18, 0x71, 0x1C, 0x16, 0x20, 0x58,
                                                   0x2C, 0x25, 0x00, 0xBA, 0x83, 0x20, 0x00, 0x00, 0x9E};
    std::ranges::copy(detailed, bytes.begin() + 0x36);
    tests::mend_checksums(bytes);
    const auto reading = signal::read_edid(bytes);
    REQUIRE(reading.edid);
    const auto* first = std::get_if<signal::DetailedTiming>(&reading.edid->descriptors[0]);
    REQUIRE(first != nullptr);
    CHECK(first->timing.interlaced);
    CHECK(first->timing.v_active.count == 1080);
    CHECK(first->timing.v_front.count == 5);
    CHECK(first->timing.v_sync.count == 10);
    CHECK(first->timing.v_total().count == 1125);
    CHECK(first->timing.refresh().count == 30'000);
    check_properties(bytes);
  }
}
