#include <algorithm>
#include <random>
#include <string>

#include <doctest/doctest.h>

#include "host/model/part_file.hpp"
#include "host/model/source_file.hpp"
#include "host/model/toml_file.hpp"
#include "tests/host/model/catalogue_copy.hpp"

namespace {

using namespace host::model;

Loaded<TomlNode> parse(const std::string& text) {
  return parse_toml({.path = "hostile.toml", .text = text});
}

std::string first_what(const std::string& text) {
  const auto root = parse(text);
  return root ? "" : root.error().front().what;
}

std::string repeated(std::string_view part, std::size_t times) {
  std::string text;
  text.reserve(part.size() * times);
  for (std::size_t n = 0; n < times; ++n) text += part;
  return text;
}

/// Whatever an error says, it can be printed: no control characters, a place inside the file.
void check_printable(const FileErrors& errors) {
  for (const FileError& error : errors) {
    std::string text = to_text(error);
    text.erase(std::remove(text.begin(), text.end(), '\n'), text.end());
    REQUIRE(clean(text) == text);
    REQUIRE(!error.what.empty());
    REQUIRE(text.size() < 4000);
  }
}

}  // namespace

TEST_SUITE("host/model") {
  TEST_CASE("a file cut off at any octet gives errors, never a crash") {
    const CatalogueCopy copy;
    const std::string cable = copy.read("cables/keypad-5-600.toml");
    for (std::size_t size = 0; size + 3 < cable.size(); ++size) {
      CAPTURE(size);
      const auto part = read_cable({.path = "keypad-5-600.toml", .text = cable.substr(0, size)});
      REQUIRE_FALSE(part.has_value());
      check_printable(part.error());
    }
    const std::string panel = copy.read("panels/slate.toml");
    const std::size_t last_table = panel.rfind("[[connector]]");  // its later keys may be missing
    for (std::size_t size = 0; size < panel.size(); size += 5) {
      CAPTURE(size);
      const auto part = read_panel({.path = "slate.toml", .text = panel.substr(0, size)});
      if (size < last_table + 10) REQUIRE_FALSE(part.has_value());
      if (!part) check_printable(part.error());
    }
    const std::string board = copy.read("boards/hazel.toml");
    const std::size_t functions_end = board.rfind("]\n\n[points]");  // which may be missing
    REQUIRE(functions_end != std::string::npos);
    for (std::size_t size = 0; size < functions_end; size += 17) {
      CAPTURE(size);
      const auto part = read_board({.path = "hazel.toml", .text = board.substr(0, size)});
      REQUIRE_FALSE(part.has_value());
      check_printable(part.error());
    }
  }

  TEST_CASE("damaged octets anywhere give a value or errors that can be printed") {
    const CatalogueCopy copy;
    const std::string panel = copy.read("panels/slate.toml");
    const unsigned seed = 20'240;
    CAPTURE(seed);
    std::mt19937 random(seed);
    for (int round = 0; round < 1500; ++round) {
      CAPTURE(round);
      std::string text = panel;
      for (int n = 0; n < 3; ++n) text[random() % text.size()] = static_cast<char>(random() % 256);
      const auto part = read_panel({.path = "slate.toml", .text = text});
      if (!part) check_printable(part.error());
    }
  }

  TEST_CASE("what only looks like TOML is refused with a place") {
    CHECK(first_what("[&") != "");
    CHECK(first_what("[あ]") == "'あ' can't stand outside a text or a comment");
    CHECK(first_what("a = é") == "'é' can't stand outside a text or a comment");
    CHECK(first_what("a = \"\xFF\"") == "has octets that are no UTF-8");
    CHECK(first_what("a = \"\xC0\xAF\"") == "has octets that are no UTF-8");
    CHECK(first_what("a = \"\xED\xA0\x80\"") == "has octets that are no UTF-8");
    CHECK(first_what(std::string("a = 1\0b", 7)) != "");
    CHECK(first_what("\x7F"
                     "ELF\x02\x01\x01") != "");
    CHECK(first_what("a = \"") != "");
    CHECK(first_what("a = '''") != "");
    CHECK(first_what("= 1") != "");
    CHECK(first_what("a = \"\\u0007\"").find("control characters") != std::string::npos);
    CHECK(parse("a = \"ä ± µ\" # é\nb = '''あ'''\n").has_value());
    CHECK(first_what("a = \"\"\"two\nlines\"\"\"").find("control characters") != std::string::npos);
    CHECK(parse("\xEF\xBB\xBF"
                "a = 1\n")
              .has_value());
    CHECK(parse("a = 1\r\nb = 2\r\n").has_value());
  }

  // toml++ 3.3 asks from there whether a character beyond ASCII is a blank, and what follows was undefined.
  TEST_CASE(
      "a text in the middle of a value, or a backslash that joins lines, is refused before it is parsed") {
    CHECK(first_what("a = 4h\"±5 %\"") == "a text begins in the middle of a value");
    CHECK(first_what("a = true'±'") == "a text begins in the middle of a value");
    CHECK(first_what("a = \"x\"\"±\"") == "a text begins in the middle of a value");
    CHECK(first_what("a = \"\"\"one \\\n ± two\"\"\"") == "a backslash joins lines here, or stands alone");
    CHECK(first_what("a = \"\"\"\\±\"\"\"") == "a backslash joins lines here, or stands alone");
    CHECK(parse("a = [\"±\",'±'] # \"±\"\nb.\"±\"={\"±\"=\"\\\\\"}\nc=\"\"\"\\u00B1\\\\ ±\"\"\"\n")
              .has_value());
  }

  TEST_CASE("nesting ends at 32, however it is written") {
    CHECK(parse("a = " + repeated("[", 30) + repeated("]", 30)).has_value());
    CHECK(first_what("a = " + repeated("[", 33) + repeated("]", 33)).find("nested deeper") !=
          std::string::npos);
    CHECK(first_what("a = " + repeated("[", 500'000)).find("nested deeper") != std::string::npos);
    CHECK(first_what("a = " + repeated("{b=", 33) + "1").find("nested deeper") != std::string::npos);
    CHECK(first_what(repeated("a.", 33) + "a = 1").find("nested deeper") != std::string::npos);
    CHECK(first_what(repeated("a.", 400'000) + "a = 1").find("nested deeper") != std::string::npos);
    CHECK(first_what("[" + repeated("\"a\" . ", 400'000) + "a]").find("nested deeper") != std::string::npos);
    CHECK(
        first_what("[" + repeated("a.", 20) + "a]\n" + repeated("b.", 20) + "b = 1").find("nested deeper") !=
        std::string::npos);
  }

  TEST_CASE("a text or a key ends at 256 octets") {
    CHECK(parse("a = \"" + std::string(256, 'x') + "\"").has_value());
    CHECK(first_what("a = \"" + std::string(257, 'x') + "\"") == "is longer than 256 octets");
    CHECK(first_what(std::string(257, 'x') + " = 1") == "is longer than 256 octets");
    CHECK(first_what("a = \"" + std::string(900'000, 'x') + "\"") == "is longer than 256 octets");
  }

  TEST_CASE("a file of nothing but keys or empty lines is read in its stride") {
    CHECK(parse(std::string(kFileSizeMax, '\n')).has_value());
    std::string keys;
    for (int n = 0; n < 15'000; ++n) keys += "k" + std::to_string(n) + " = 1\n";
    CHECK(parse(keys).has_value());
    // Each key is unknown to every kind of file; thirty thousand errors once took minutes to write.
    const auto cable = read_cable({.path = "hostile.toml", .text = keys});
    REQUIRE_FALSE(cable.has_value());
    check_printable(cable.error());
    REQUIRE(cable.error().size() == 101);
    CHECK(cable.error().back().what.ends_with(" more errors are not told here"));
  }

  TEST_CASE("a long line is shown round its column") {
    const auto root = parse(std::string(700, ' ') + "a = ö" + std::string(700, ' '));
    REQUIRE_FALSE(root.has_value());
    const std::string text = to_text(root.error().front());
    CHECK(text.find("hostile.toml:1:705:") == 0);
    CHECK(text.size() < 400);
    const std::string caret = text.substr(text.rfind('\n') + 1);
    const std::string line = text.substr(text.find('\n') + 1, text.rfind('\n') - text.find('\n') - 1);
    CHECK(caret.back() == '^');
    // One character before the caret is of three octets: the mark that something was left out.
    CHECK(line.substr(caret.size() - 1 + 2, 2) == "ö");
  }
}
