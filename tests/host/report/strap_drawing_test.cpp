#include "host/report/strap_drawing.hpp"

#include <doctest/doctest.h>

#include "host/report/columns.hpp"

using namespace host::report;

namespace {

StrapDrawing jumper(unsigned expected, unsigned read, Tone tone) {
  StrapDrawing strap;
  strap.id = "BR2";
  strap.count = 4;
  strap.nets = {"SEL_33", "SEL", "SEL_5", "SEL_12"};
  strap.expected = expected;
  strap.expected_care = 0b111;
  strap.read_known = true;
  strap.read = read;
  strap.tone = tone;
  return strap;
}

StrapDrawing bank(unsigned read, Tone tone) {
  StrapDrawing strap;
  strap.id = "S1";
  strap.kind = StrapDrawing::Kind::kSwitches;
  strap.count = 6;
  strap.expected = 0b001001;
  strap.expected_care = 0b001111;
  strap.read_known = true;
  strap.read = read;
  strap.tone = tone;
  return strap;
}

std::string drawn(const StrapDrawing& strap, bool ascii = false, int width = 80) {
  TextStyle style;
  style.ascii = ascii;
  style.width = width;
  return to_text(strap, Ink{style});
}

}  // namespace

TEST_SUITE("host/report/strap_drawing") {
  TEST_CASE("a cap is a frame round the pins it joins, expected beside read") {
    CHECK(drawn(jumper(0b001, 0b010, Tone::kDanger)) ==
          "BR2   DIFFERS: DANGER\n"
          "    expected 1-2                          read 2-3\n"
          "       ┌─────────┐                                   ┌─────────┐\n"
          "       │●━━━━━━━●│      ○       ○             ○      │●━━━━━━━●│      ○\n"
          "       └─────────┘                                   └─────────┘\n"
          "       [1]      2       3       4            [1]      2       3       4\n"
          "      SEL_33   SEL    SEL_5   SEL_12        SEL_33   SEL    SEL_5   SEL_12\n");
  }

  TEST_CASE("7-bit text draws the same") {
    CHECK(drawn(jumper(0b001, 0b001, Tone::kGood), true) ==
          "BR2   as expected\n"
          "    expected 1-2                          read 1-2\n"
          "       +---------+                           +---------+\n"
          "       |O=======O|      o       o            |O=======O|      o       o\n"
          "       +---------+                           +---------+\n"
          "       [1]      2       3       4            [1]      2       3       4\n"
          "      SEL_33   SEL    SEL_5   SEL_12        SEL_33   SEL    SEL_5   SEL_12\n");
  }

  TEST_CASE("a bank shows each way up or down, and points at the one that differs") {
    CHECK(drawn(bank(0b101011, Tone::kFault)) ==
          "S1   DIFFERS: FAULT\n"
          "    expected 1001xx                     read 110101\n"
          "           1   2   3   4   5   6               1   2   3   4   5   6\n"
          "         ┌───┬───┬───┬───┬───┬───┐           ┌───┬───┬───┬───┬───┬───┐\n"
          "      on │ █ │   │   │ █ │░░░│░░░│        on │ █ │ █ │   │ █ │   │ █ │\n"
          "     off │   │ █ │ █ │   │░░░│░░░│       off │   │   │ █ │   │ █ │   │\n"
          "         └───┴───┴───┴───┴───┴───┘           └───┴───┴───┴───┴───┴───┘\n"
          "                                                   ▲\n");
  }

  TEST_CASE("a way that doesn't matter never differs") {
    for (const unsigned free : {0b000000U, 0b010000U, 0b100000U, 0b110000U}) {
      CHECK(drawn(bank(0b001001U | free, Tone::kGood)).starts_with("S1   as expected\n"));
    }
  }

  TEST_CASE("a strap that isn't known is drawn with question marks") {
    StrapDrawing strap = jumper(0b001, 0, Tone::kWarning);
    strap.read_known = false;
    const std::string text = drawn(strap);
    CHECK(text.starts_with("BR2   NOT KNOWN\n"));
    CHECK(text.find("read not known") != std::string::npos);
    CHECK(text.find("?       ?       ?       ?") != std::string::npos);
  }

  TEST_CASE("another accepted position is said to be accepted") {
    CHECK(drawn(jumper(0b001, 0b100, Tone::kGood)).starts_with("BR2   accepted as well\n"));
  }

  TEST_CASE("with nothing to hold against, expected stands alone") {
    StrapDrawing strap = jumper(0b100, 0, Tone::kPlain);
    strap.actual_word.clear();
    const std::string text = drawn(strap);
    CHECK(text.starts_with("BR2\n    expected 3-4\n"));
    CHECK(text.find("read") == std::string::npos);
  }

  TEST_CASE("caps on every second pin and caps that share a pin are told apart") {
    const std::string apart = drawn(jumper(0, 0b101, Tone::kFault));
    CHECK(apart.find("read 1-2+3-4") != std::string::npos);
    CHECK(apart.find("│●━━━━━━━●│     │●━━━━━━━●│") != std::string::npos);
    const std::string shared = drawn(jumper(0, 0b011, Tone::kFault));
    CHECK(shared.find("read 1-2+2-3") != std::string::npos);
    CHECK(shared.find("│●━━━━━━━●━━━━━━━●│") != std::string::npos);
  }

  TEST_CASE("the longest straps there are fit the page, one above the other") {
    StrapDrawing row = jumper(0b1, 0b10, Tone::kFault);
    row.count = 13;
    row.nets.clear();
    StrapDrawing ways = bank(0xfff, Tone::kFault);
    ways.count = 12;
    for (const auto& strap : {row, ways}) {
      std::string text = drawn(strap);
      CHECK(text.find("read ") > text.find("expected "));
      while (!text.empty()) {
        const std::size_t end = text.find('\n');
        CHECK(columns_of(text.substr(0, end)) <= 80);
        text.erase(0, end + 1);
      }
    }
  }

  TEST_CASE("nets too long to stand under their pins are listed") {
    StrapDrawing strap = jumper(0b1, 0b1, Tone::kGood);
    strap.nets[2] = "PANEL_SUPPLY_SELECT_5V_FROM_BUCK";
    CHECK(drawn(strap).find("nets: 1=SEL_33 2=SEL 3=PANEL_SUPPLY_SELECT_5V_FROM_BUCK 4=SEL_12\n") !=
          std::string::npos);
  }

  TEST_CASE("a hostile drawing draws nothing it has no bits for") {
    StrapDrawing strap = jumper(0xffff, 0xffff, Tone::kFault);
    strap.count = 400;
    CHECK(drawn(strap).empty());
    strap.count = 0;
    CHECK(drawn(strap).empty());
    strap.count = 2;
    strap.nets = {"a\x1b[2J", "b"};
    CHECK(drawn(strap).find('\x1b') == std::string::npos);
  }
}
