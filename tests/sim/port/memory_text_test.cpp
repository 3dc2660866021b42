#include "sim/port/memory_text.hpp"

#include <doctest/doctest.h>

#include "tests/sim/elm_kit.hpp"

using sim::port::parse_memory;
using sim::port::to_text;

namespace {

sim::unit::Memory memory() {
  sim::unit::Memory memory;
  memory.settings = {{600'000}, host::model::PowerOn::kLast, {240}, 0, true};
  memory.stamp = {"elm-kit", "B", "0123abcd", "2026-05-04", "Line 2, place 7"};
  memory.log = {{1, 0, sim::unit::EventCode::kStarted, 0},
                {1, 4'000'000'000, sim::unit::EventCode::kLock, 1}};
  memory.log_written = 300;
  memory.board_ms = 1ULL << 40;
  memory.light_ms = 7;
  memory.power_cycles = 12;
  memory.boot = 65'535;
  memory.was_on = false;
  return memory;
}

}  // namespace

TEST_SUITE("sim/port/memory_text") {
  TEST_CASE("a memory is read back as it was written") {
    const auto kit = tests::sim::elm_kit();
    CHECK(parse_memory(to_text(memory()), kit) == memory());
    CHECK(parse_memory(to_text({}), kit) != memory());
  }

  TEST_CASE("a text in a stamp never makes a line of its own") {
    auto bad = memory();
    bad.stamp.station = "x\nboot 1";
    const auto read = parse_memory(to_text(bad), tests::sim::elm_kit());
    REQUIRE(read);
    CHECK(read->stamp.station == "x boot 1");
    CHECK(read->boot == 65'535);
  }

  // Its PWM frequency used to be 0 then, which no memory may hold: what the unit kept next could not be read
  // again.
  TEST_CASE("settings that a memory leaves out are those of a unit from production") {
    const auto kit = tests::sim::elm_kit();
    const auto read = parse_memory("boot 3\n", kit);
    REQUIRE(read);
    CHECK(read->settings == sim::unit::settings_of(kit));
    CHECK(parse_memory(to_text(*read), kit) == read);
  }

  TEST_CASE("what no unit of this kit can have kept is no memory") {
    const auto kit = tests::sim::elm_kit();
    for (const char* line : {"brightness_ppm 1000001", "brightness_ppm -1", "power_on 3", "pwm_hz 0",
                             "input 99", "scan 2", "boot 65536", "boot x", "boot", "log 1 2 3",
                             "log 1 2 3 4 5", "volume 11", "board_ms -1", "was_on yes"}) {
      CAPTURE(std::string{line});
      CHECK_FALSE(parse_memory(std::string{line} + "\n", kit));
    }
    CHECK_FALSE(parse_memory("boot 1", kit));  // cut
    std::string log;
    for (int i = 0; i < 257; ++i) log += "log 1 2 3 4\n";
    CHECK_FALSE(parse_memory(log, kit));
  }
}
