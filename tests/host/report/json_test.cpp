#include <cstdint>
#include <limits>
#include <string>

#include <doctest/doctest.h>

#include "host/report/json/value.hpp"
#include "tests/support/json_document.hpp"

using host::report::json::Value;
using host::report::json::write;
using tests::support::JsonDocument;

TEST_SUITE("host/report/json") {
  TEST_CASE("a document is indented, ends in a newline and keeps the order of its keys") {
    Value document;
    document.set("schema", "strapline/check/1").set("danger", false);
    document.set("points", Value::Array{Value{1}, Value{"x"}});
    document.set("empty", Value{}).set("none", Value::Array{});
    CHECK(write(document) ==
          "{\n"
          "  \"schema\": \"strapline/check/1\",\n"
          "  \"danger\": false,\n"
          "  \"points\": [\n"
          "    1,\n"
          "    \"x\"\n"
          "  ],\n"
          "  \"empty\": {},\n"
          "  \"none\": []\n"
          "}\n");
  }

  TEST_CASE("whole numbers of 64 bits come back unharmed") {
    for (const std::int64_t number :
         {std::numeric_limits<std::int64_t>::min(), std::int64_t{-1}, std::int64_t{0},
          std::int64_t{9'007'199'254'740'993}, std::numeric_limits<std::int64_t>::max()}) {
      Value document;
      document.set("n", number);
      CHECK(JsonDocument::parse(write(document))["n"] == number);
    }
  }

  TEST_CASE("text comes back as it was, whatever characters it has") {
    for (const std::string text : {"", "±3 %", "\"\\/", "\x01\x1b[2J\n\r\t", "\x7f",
                                   "a\xc2\x85"
                                   "b",
                                   "\xe2\x80\xae"
                                   "x",
                                   "\xe2\x80\xa8", "\xef\xbb\xbf", "\xe2\x81\xa9", "路"}) {
      Value document;
      document.set(text, text);
      const std::string written = write(document);
      CAPTURE(written);
      CHECK(JsonDocument::parse(written)[text] == text);
    }
  }

  TEST_CASE("what a terminal would obey is escaped") {
    Value document;
    document.set("t", "\x1b\x7f\xc2\x9b\xe2\x80\xae\xe2\x81\xa6\xe2\x80\xa8");
    CHECK(write(document) == "{\n  \"t\": \"\\u001b\\u007f\\u009b\\u202e\\u2066\\u2028\"\n}\n");
  }

  TEST_CASE("octets that are no UTF-8 become the replacement character, never an exception") {
    Value document;
    document.set("t",
                 "a\xff"
                 "b\xe2\x82");
    CHECK(JsonDocument::parse(write(document))["t"] ==
          "a\xef\xbf\xbd"
          "b\xef\xbf\xbd");
  }
}
