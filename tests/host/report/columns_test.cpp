#include "host/report/columns.hpp"

#include <doctest/doctest.h>

using namespace host::report;
using Lines = std::vector<std::string>;

TEST_SUITE("host/report/columns") {
  TEST_CASE("columns are what a terminal shows, not octets") {
    CHECK(columns_of("") == 0);
    CHECK(columns_of("5 V ±3 %") == 8);
    CHECK(columns_of("路面") == 4);
    CHECK(columns_of("e\xcc\x81") == 1);  // e with a combining accent
    CHECK(columns_of("\xff") == 1);
    CHECK(padded("±", 3) == "±  ");
    CHECK(padded("long", 2) == "long");
  }

  TEST_CASE("text breaks at spaces and keeps every word") {
    CHECK(wrapped("supply off, then BR2 to 1-2", 12) == Lines{"supply off,", "then BR2 to", "1-2"});
    CHECK(wrapped("  a   b ", 10) == Lines{"a b"});
    CHECK(wrapped("", 10) == Lines{""});
  }

  TEST_CASE("a word wider than the page is broken, never dropped") {
    CHECK(wrapped("x abcdefgh y", 3) == Lines{"x", "abc", "def", "gh", "y"});
    CHECK(wrapped("±±±±", 3) == Lines{"±±±", "±"});
    CHECK(wrapped("路", 1) == Lines{"路"});
  }

  TEST_CASE("no line is wider than asked for") {
    const std::string text =
        "BR2 selects 5 V; this panel takes 3.3 V and is destroyed above 4.0 V within a second.";
    for (int columns = 9; columns < 90; ++columns) {
      CAPTURE(columns);
      for (const auto& line : wrapped(text, columns)) CHECK(columns_of(line) <= columns);
    }
  }
}
