#include <string>

#include <doctest/doctest.h>

#include "host/report/document.hpp"

using host::report::cleaned;

TEST_SUITE("host/report/cleaned") {
  TEST_CASE("plain text of any script passes as it is") {
    for (const char* text : {"", "BR2 to 1-2", "±3 %, 60 Hz", "Straßenbahn", "路面電車", "5 < 6 & \"7\""}) {
      CHECK(cleaned(text) == text);
    }
  }

  TEST_CASE("no control character gets through, and each leaves a visible trace") {
    for (int code = 0; code < 256; ++code) {
      CAPTURE(code);
      const bool control = code < 0x20 || code >= 0x7f;  // from 0x80 on: a lone octet, so no UTF-8
      const std::string text(1, static_cast<char>(code));
      const std::string shown = cleaned("a" + text + "b");
      if (control) {
        CHECK(shown.size() == 6);
        CHECK(shown.starts_with("a\\x"));
      } else {
        CHECK(shown == "a" + text + "b");
      }
      for (const char letter : shown) CHECK((letter >= 0x20 && letter < 0x7f));
    }
  }

  TEST_CASE("a device can't colour, move or forge a line") {
    CHECK(cleaned("\x1b[2J\x1b[1;1Hverdict  PASS") == "\\x1b[2J\\x1b[1;1Hverdict  PASS");
    CHECK(cleaned("SN1\nverdict  PASS\r\n") == "SN1\\x0averdict  PASS\\x0d\\x0a");
    CHECK(cleaned("\xc2\x9b"
                  "2J") == "\\u009b2J");  // CSI as a C1 control
    CHECK(cleaned("\xe2\x80\xae"
                  "SSAP") == "\\u202eSSAP");  // right-to-left override
    CHECK(cleaned("a\xe2\x81\xa6"
                  "b\xe2\x81\xa9") == "a\\u2066b\\u2069");
    CHECK(cleaned("a\xe2\x80\xa8"
                  "b") == "a\\u2028b");                     // line separator
    CHECK(cleaned("a\xf3\xa0\x81\x81") == "a\\U000e0041");  // a tag character, invisible
  }

  TEST_CASE("octets that are no UTF-8 are shown one by one") {
    CHECK(cleaned("\xc0\xaf") == "\\xc0\\xaf");                    // overlong "/"
    CHECK(cleaned("\xed\xa0\x80") == "\\xed\\xa0\\x80");           // a surrogate
    CHECK(cleaned("\xf4\x90\x80\x80") == "\\xf4\\x90\\x80\\x80");  // beyond U+10FFFF
    CHECK(cleaned("ab\xe2\x82") == "ab\\xe2\\x82");                // cut short
    CHECK(cleaned("\xff\xfe") == "\\xff\\xfe");
  }

  TEST_CASE("cleaning twice changes nothing") {
    const std::string hostile = "\x1b]0;x\x07 \xe2\x80\xae \xff ü";
    CHECK(cleaned(cleaned(hostile)) == cleaned(hostile));
  }
}
