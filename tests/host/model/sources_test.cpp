#include <doctest/doctest.h>

#include "host/model/part_file.hpp"

using namespace host::model;

namespace {

constexpr std::string_view kKeypad = R"(
title = "Keys"
revision = "1"
status = "draft"
voltage = "5 V ±10 %"
current = "25 mA"
keys = 5
connector = "keypad-5"
nets = { 1 = "VKEYPAD", 5 = "GND" }
taken_from = { document = "keys data sheet", revision = "1.0" }
)";

Loaded<FromFile<Keypad>> keypad(std::string_view sources) {
  return read_keypad({.path = "keypads/keys.toml", .text = std::string(kKeypad) + std::string(sources)});
}

}  // namespace

TEST_SUITE("host/model/sources") {
  TEST_CASE("a figure has its own source, its table's, or none but the part's") {
    const auto read = keypad("[sources]\ncurrent = \"keys note, page 2\"\nnets = \"keys drawing\"\n");
    REQUIRE(read);
    const About& about = read->part.about;
    CHECK(about.source == "keys data sheet, 1.0");
    CHECK(*own_source(about, "current") == "keys note, page 2");
    CHECK(*own_source(about, "nets.5") == "keys drawing");
    CHECK(own_source(about, "voltage") == nullptr);
    CHECK(own_source(about, "currents") == nullptr);
    CHECK(cited(about, {"voltage"}) == "keys");
    CHECK(cited(about, {"voltage", "current"}) == "keys: keys note, page 2");
    CHECK(cited(about, {"current", "nets.1", "nets.5"}) == "keys: keys note, page 2; keys drawing");
  }

  TEST_CASE("a path with points in it may stand in quotes or without, and the nearest table counts") {
    for (const char* text : {"[sources]\n\"nets.1\" = \"a\"\nnets.5 = \"b\"\n",
                             "[sources]\nnets.1 = \"a\"\n\"nets.5\" = \"b\"\n"}) {
      const auto read = keypad(text);
      REQUIRE(read);
      CHECK(*own_source(read->part.about, "nets.1") == "a");
      CHECK(*own_source(read->part.about, "nets.5") == "b");
      CHECK(own_source(read->part.about, "nets") == nullptr);
    }
  }

  TEST_CASE("a file that says where a figure is from has another digest than one that doesn't") {
    const auto plain = keypad("");
    const auto told = keypad("[sources]\ncurrent = \"keys note, page 2\"\n");
    const auto other = keypad("[sources]\ncurrent = \"keys note, page 3\"\n");
    REQUIRE(plain);
    REQUIRE(told);
    REQUIRE(other);
    CHECK(digest(plain->canonical) != digest(told->canonical));
    CHECK(digest(told->canonical) != digest(other->canonical));
  }

  TEST_CASE("every source that names nothing is told, with its place and the nearest name") {
    const auto read = keypad("[sources]\ncurent = \"a\"\nstatus = \"b\"\nvoltage = 3\nnets.9 = \"c\"\n");
    REQUIRE_FALSE(read);
    REQUIRE(read.error().size() == 4);
    CHECK(read.error()[0].what == "no figure of this file is called 'curent'");
    CHECK(read.error()[0].remedy == "did you mean 'current'?");
    CHECK(read.error()[0].place.line == 12);
    CHECK(read.error()[1].what == "no figure of this file is called 'status'");
    CHECK(read.error()[2].what.starts_with("'voltage' expects a source"));
    CHECK(read.error()[3].what == "no figure of this file is called 'nets.9'");
    CHECK_FALSE(keypad("sources = \"all of it\"\n"));
  }
}
