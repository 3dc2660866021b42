#include <cstdint>
#include <limits>
#include <string>

#include <doctest/doctest.h>

#include "host/report/json/read.hpp"

using host::report::json::kMembersMax;
using host::report::json::kNestingMax;
using host::report::json::kTextSizeMax;
using host::report::json::member;
using host::report::json::read;
using host::report::json::Value;
using host::report::json::write;

namespace {

std::string refusal(const std::string& text) {
  const auto value = read(text);
  return value ? "" : value.error().what;
}

bool refused(const std::string& text) {
  return !read(text).has_value();
}

std::string nested(std::size_t depth) {
  return std::string(depth, '[') + std::string(depth, ']');
}

std::string many(std::size_t members) {
  std::string text = "[0";
  for (std::size_t i = 1; i < members; ++i) text += ",0";
  return text + "]";
}

}  // namespace

TEST_SUITE("host/report/json_read") {
  TEST_CASE("what was written is read back the same") {
    Value document;
    document.set("schema", "strapline/verify/1").set("danger", true);
    document.set("least", std::numeric_limits<std::int64_t>::min());
    document.set("most", std::numeric_limits<std::int64_t>::max());
    document.set("text", "a \"quoted\" \\ line\nof \xC3\xA9, \x01 and \xE2\x80\xAE");
    document.set("points", Value::Array{Value{1}, Value{"x"}, Value{}, Value{Value::Array{}}});
    const std::string text = write(document);
    const auto again = read(text);
    REQUIRE(again.has_value());
    CHECK(write(*again) == text);
    REQUIRE(member(*again, "least") != nullptr);
    CHECK(std::get<std::int64_t>(member(*again, "least")->data()) ==
          std::numeric_limits<std::int64_t>::min());
    CHECK(member(*again, "absent") == nullptr);
    CHECK(member(*member(*again, "text"), "x") == nullptr);
  }

  TEST_CASE("no part of a document is one, and neither is more than one") {
    const std::string text = R"({"a":[1,true,"x"],"b":{"c":-5}})";
    REQUIRE_FALSE(refused(text));
    for (std::size_t size = 0; size < text.size(); ++size) {
      CAPTURE(size);
      CHECK(refused(text.substr(0, size)));
    }
    for (const char* const behind : {"x", "{}", ",", "]", "1", "/*x*/"}) CHECK(refused(text + behind));
    CHECK_FALSE(refused(text + " \n\t\r"));
  }

  // RFC 8259: 3 (no other literals), 6 (numbers), 7 (strings), 8.1 (UTF-8).
  TEST_CASE("what isn't JSON is refused") {
    for (const char* const text : {"",
                                   " ",
                                   "nul",
                                   "True",
                                   "NaN",
                                   "Infinity",
                                   "01",
                                   "+1",
                                   "1.",
                                   ".5",
                                   "0x10",
                                   "'a'",
                                   "\"\\x\"",
                                   "\"\x01\"",
                                   "\"\\uD800\"",
                                   "{a:1}",
                                   "{\"a\":1,}",
                                   "[1,]",
                                   "{\"a\" 1}",
                                   "\"\xC3\"",
                                   "\"\xED\xA0\x80\"",
                                   "\"\xF8\x88\x80\x80\x80\"",
                                   "// x\n1"}) {
      CAPTURE(text);
      CHECK(refusal(text) == "from here on it is no JSON, or ends too early");
    }
  }

  TEST_CASE("JSON that no document holds is refused, by what it is") {
    CHECK(refusal("[null]").starts_with("null has no place"));
    for (const char* const number :
         {"1.5", "1e3", "-0.0", "9223372036854775808", "-9223372036854775809", "1e999"}) {
      CAPTURE(number);
      CHECK(refused(number));
    }
    CHECK(refusal("1.5") == "a number here is whole, and fits 64 bits");
    CHECK(refusal("18446744073709551615") == "a number here is whole, and fits 64 bits");
    CHECK(refusal(R"({"a":1,"b":{"a":1},"a":2})") == "a key stands twice in one object");
    CHECK_FALSE(refused(R"({"a":1,"b":{"a":1}})"));
  }

  TEST_CASE("sizes have their limits, and what is deep needs no stack") {
    CHECK_FALSE(refused(nested(kNestingMax)));
    CHECK(refusal(nested(kNestingMax + 1)) == "it is nested more than 32 deep");
    CHECK(refused(std::string(1'000'000, '[')));
    CHECK_FALSE(refused('"' + std::string(kTextSizeMax, 'x') + '"'));
    CHECK(refusal('"' + std::string(kTextSizeMax + 1, 'x') + '"') == "a text is longer than 8192 octets");
    CHECK(refusal("{\"" + std::string(kTextSizeMax + 1, 'x') + "\":1}") ==
          "a text is longer than 8192 octets");
    CHECK_FALSE(refused(many(kMembersMax)));
    CHECK(refusal(many(kMembersMax + 1)) == "an object or array has more than 4096 members");
  }

  TEST_CASE("a refusal says where") {
    const auto value = read("{\n  \"a\": 1,\n  \"a\": 2\n}\n");
    REQUIRE_FALSE(value.has_value());
    CHECK(value.error().line == 3);
    CHECK(value.error().column == 5);
    const auto first = read("x");
    REQUIRE_FALSE(first.has_value());
    CHECK(first.error().line == 1);
    CHECK(first.error().column == 1);
    const auto nothing = read("");
    REQUIRE_FALSE(nothing.has_value());
    CHECK(nothing.error().line == 1);
    CHECK(nothing.error().column == 1);
  }
}
