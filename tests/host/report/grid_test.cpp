#include "host/report/grid.hpp"

#include <doctest/doctest.h>

#include "host/report/columns.hpp"

using namespace host::report;

TEST_SUITE("host/report/grid") {
  TEST_CASE("check items stand in columns with the word of their state in front") {
    Checks checks;
    checks.items = {
        {"straps.BR2", "1-2", "2-3", "mismatch", "sensed", Tone::kDanger},
        {"input.locked", "yes", "yes", "match", "measured", Tone::kPlain},
        {"straps.BR5", "1-2", "not-sensed", "unread", "", Tone::kWarning},
    };
    CHECK(to_text(checks, Ink{TextStyle{}}) ==
          "        subject       expected  read        known by\n"
          "        ────────────  ────────  ──────────  ────────\n"
          "DANGER  straps.BR2    1-2       2-3         sensed\n"
          "ok      input.locked  yes       yes         measured\n"
          "?       straps.BR5    1-2       not-sensed\n");
  }

  TEST_CASE("names too long for the page are broken at their joints, and no line is wider") {
    Checks checks;
    checks.items = {{"backlight.level_commanded_permille", "1366 x 768, 1 channel, 24 bit",
                     "1366 x 768, 1 channel, 24 bit", "match", "declared", Tone::kPlain},
                    {"functions.dimming-sense", "low-is-brighter", "high-is-brighter", "mismatch", "measured",
                     Tone::kFault}};
    const std::string text = to_text(checks, Ink{TextStyle{}});
    CHECK(text.find("backlight.level_commanded_ ") != std::string::npos);
    for (std::string rest = text; !rest.empty();) {
      const std::size_t end = rest.find('\n');
      CHECK(columns_of(rest.substr(0, end)) <= 80);
      rest.erase(0, end + 1);
    }
  }

  TEST_CASE("the widest column gives way first where a row is wider than the page") {
    Table table;
    table.titles = {"a", "b"};
    table.rows = {{{"short", "one two three four five six seven eight nine ten"}}};
    TextStyle style;
    style.ascii = true;
    style.width = 40;
    CHECK(to_text(table, Ink{style}) ==
          "a      b\n"
          "-----  ---------------------------------\n"
          "short  one two three four five six seven\n"
          "       eight nine ten\n");
  }

  TEST_CASE("colour repeats what the word says and adds no columns") {
    Table table;
    table.rows = {{{"BR2"}, Tone::kDanger}};
    TextStyle style;
    CHECK(to_text(table, Ink{style}) == "DANGER  BR2\n");
    style.colour = true;
    CHECK(to_text(table, Ink{style}) == "\x1b[1;97;41mDANGER  BR2\x1b[0m\n");
  }

  TEST_CASE("a cell can't forge a row") {
    Table table;
    table.rows = {{{"SN\n1\x1b[A"}}};
    CHECK(to_text(table, Ink{TextStyle{}}) == "SN\\x0a1\\x1b[A\n");
  }
}
