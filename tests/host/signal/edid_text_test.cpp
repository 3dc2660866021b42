#include "host/signal/edid_text.hpp"

#include <doctest/doctest.h>

#include "host/signal/edid.hpp"
#include "host/signal/edid_fields.hpp"
#include "host/signal/edid_read.hpp"
#include "tests/host/signal/golden_edids.hpp"

using namespace host;

TEST_SUITE("host/signal/edid_text") {
  TEST_CASE("bytes become text and text becomes bytes") {
    for (const char* name : tests::kGoldenEdids) {
      const auto bytes = tests::golden_edid(name);
      const auto text = signal::edid_file_text(bytes);
      CHECK(text.starts_with("00 FF FF FF FF FF FF 00"));
      CHECK(signal::parse_edid_file(text) == bytes);
      CHECK(signal::parse_edid_file(std::string(bytes.begin(), bytes.end())) == bytes);
    }
  }

  TEST_CASE("the forms in which people keep hexadecimal are all read") {
    const std::vector<std::uint8_t> expected = {0x00, 0xFF, 0xA5};
    for (const char* text :
         {"00 ff a5", "00FFA5", "0x00, 0xff,0xA5\n", "# an EDID\n00\r\n\tff\n# end\na5\n"}) {
      CAPTURE(text);
      CHECK(signal::parse_edid_file(text) == expected);
    }
    CHECK(signal::parse_edid_file("")->empty());
  }

  TEST_CASE("what is no hexadecimal is told with its place") {
    CHECK(signal::parse_edid_file("00 FF\n0G").error() ==
          "line 2, column 2: the second digit of a byte is expected here");
    CHECK(signal::parse_edid_file("00 FF\n  xyz").error() ==
          "line 2, column 3: a hexadecimal digit is expected here");
    CHECK(signal::parse_edid_file("0").error() ==
          "line 1, column 2: the second digit of a byte is expected here");
    CHECK_FALSE(signal::parse_edid_file(std::string(2 * 32769, '0')));
    CHECK(signal::parse_edid_file(std::string(2 * 32768, '0')));
  }

  // An EDID whose first octet is damaged used to be read as text and refused for its digits.
  TEST_CASE("octets are octets whatever their first one is, and their header is what is wrong") {
    for (const char* name : tests::kGoldenEdids) {
      for (std::size_t at = 0; at < 8; ++at) {
        auto bytes = tests::golden_edid(name);
        bytes[at] ^= 0x41;
        const auto read = signal::parse_edid_file(std::string(bytes.begin(), bytes.end()));
        REQUIRE(read);
        CHECK(*read == bytes);
        const auto reading = signal::read_edid(*read);
        REQUIRE_FALSE(reading.faults.empty());
        CHECK(reading.faults.front().rule == signal::EdidRule::kHeader);
        CHECK(reading.faults.front().offset == at);
      }
    }
  }

  TEST_CASE("letters of a maker and its code") {
    CHECK(signal::maker_of("QZX") == 0x4758);
    CHECK(signal::letters_of(0x4758) == "QZX");
    CHECK(signal::letters_of(0) == "???");
    for (const char* text : {"", "QZ", "QZXX", "qzx", "Q1X", "Q X"}) CHECK(signal::maker_of(text) == 0);
  }
}

TEST_SUITE("host/signal/edid_fields") {
  TEST_CASE("two EDIDs differ in the fields that differ") {
    const auto left = *signal::read_edid(tests::golden_edid("qzx-panel-1280x800")).edid;
    auto right = left;
    right.serial = 2;
    std::get<signal::DetailedTiming>(right.descriptors[0]).timing.v_front = {4};
    right.descriptors[2] = signal::DummyDescriptor{};
    const auto differences = signal::diff_edids(left, right);
    REQUIRE(differences.size() == 5);
    CHECK(differences[0].name == "serial");
    CHECK(differences[0].left == "1");
    CHECK(differences[0].right == "2");
    CHECK(differences[1].name == "descriptor.1.v_front");
    CHECK(differences[2].name == "descriptor.1.refresh_millihz");
    CHECK(differences[3].name == "descriptor.3.kind");
    CHECK(differences[4].name == "descriptor.3.text");
    CHECK_FALSE(differences[4].right);
    CHECK(signal::diff_edids(left, left).empty());
  }
}
