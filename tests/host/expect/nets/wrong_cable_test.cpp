#include <functional>

#include <doctest/doctest.h>

#include "tests/host/expect/nets/bench_cable.hpp"

using namespace host;
using expect::nets::Route;

namespace {

struct WrongCable {
  const char* what;
  std::function<void(Route&)> spoil;
  const char* named;  // every finding, in order
  const char* says;   // part of the first one's consequence
};

}  // namespace

TEST_SUITE("host/expect/nets") {
  TEST_CASE("a right cable has nothing to be told of") {
    CHECK(tests::named(judge(tests::bench_route(), tests::bench_loads())) == "");
  }

  TEST_CASE("each wrong cable is named by its own finding") {
    const WrongCable wrong_cables[] = {
        {"shifted by one",
         [](Route& route) {
           for (auto& wire : route.cable.wires) ++wire.far_pin;
         },
         "fault cable-shifted", "ends one pin too far along"},
        {"shifted by one the other way",
         [](Route& route) {
           tests::cut(route, 1);
           for (auto& wire : route.cable.wires) --wire.far_pin;
         },
         "danger cable-shifted, danger cable-short", "ends one pin short"},
        {"mirrored",
         [](Route& route) {
           for (auto& wire : route.cable.wires) wire.far_pin = 33 - wire.far_pin;
         },
         // VPANEL at 30 to 32 comes to ground at 3 and 2 and to MAP_SEL at 1; GND at 2, 3 and 1 to VPANEL.
         "danger cable-mirrored, danger cable-short, danger cable-short, danger cable-short, danger "
         "cable-short, "
         "danger cable-supply-on-signal, danger cable-short",
         "counted from the other end"},
        {"one pair's signs", [](Route& route) { tests::exchange(route, 7, 8); }, "fault cable-pair-reversed",
         "A1 are exchanged (far pins 7 and 8)"},
        {"the clock's signs", [](Route& route) { tests::exchange(route, 12, 13); },
         "fault cable-pair-reversed", "ACLK are exchanged"},
        {"two pairs crossed",
         [](Route& route) {
           tests::exchange(route, 5, 7);
           tests::exchange(route, 6, 8);
         },
         "fault cable-pairs-crossed, fault cable-pairs-crossed", "A1 of the board arrives as A0"},
        {"a pair and a stranger's wire", [](Route& route) { tests::exchange(route, 6, 8); },
         "fault cable-pairs-crossed, fault cable-pairs-crossed", "come from two pairs"},
        {"channels crossed",
         [](Route& route) {
           // A0 A1 A2 ACLK A3 stand at 5.. of the panel, B0 B1 B2 BCLK B3 at 16...
           const std::pair<int, int> pins[] = {{5, 16},  {6, 17},  {7, 18},  {8, 19},  {9, 21},
                                               {10, 22}, {12, 23}, {13, 24}, {14, 25}, {15, 26}};
           for (const auto& [a, b] : pins) tests::exchange(route, a, b);
         },
         "fault cable-channels-crossed", "channels A, B of the panel"},
        {"supply on a signal", [](Route& route) { tests::wire_to(route, 27).board_pin = 3; },
         "danger cable-supply-on-signal, fault cable-signal-missing",
         "brings VPANEL to SCAN (board pin 3 to far pin 27)"},
        {"supply on a pair", [](Route& route) { tests::wire_to(route, 5).board_pin = 1; },
         "danger cable-supply-on-signal, fault cable-pair-open", "brings VPANEL to A0-"},
        {"a signal on the supply", [](Route& route) { tests::wire_to(route, 32).board_pin = 29; },
         "danger cable-supply-on-signal", "the supply destroys what drives it"},
        {"ground missing",
         [](Route& route) {
           std::erase_if(route.cable.wires, [&](const auto& wire) {
             return route.board.nets.at(wire.board_pin) == "GND" && wire.far_pin != 1;
           });
         },
         "fault cable-ground-missing", "No wire of W1 joins GND"},
        {"supply missing",
         [](Route& route) {
           for (const int pin : {30, 31, 32}) tests::cut(route, pin);
         },
         "fault cable-supply-missing", "brings VPANEL to the panel's X1"},
        {"select pin tied wrong", [](Route& route) { tests::wire_to(route, 1).board_pin = 30; },
         "fault cable-select-wrong", "stands at V33, high"},
        {"select pin left open", [](Route& route) { tests::cut(route, 1); }, "fault cable-select-wrong",
         "stands at open, which it takes as high"},
        {"select pin on the supply", [](Route& route) { tests::wire_to(route, 1).board_pin = 3; },
         "danger cable-supply-on-signal", "brings VPANEL to MAP_SEL"},
        {"clock missing",
         [](Route& route) {
           tests::cut(route, 23);
           tests::cut(route, 24);
         },
         "fault cable-clock-missing", "BCLK doesn't arrive"},
        {"half a pair", [](Route& route) { tests::cut(route, 26); }, "fault cable-pair-open",
         "B3 doesn't arrive"},
        {"too few contacts",
         [](Route& route) {
           tests::cut(route, 31);
           tests::cut(route, 32);
           route.board.contact_rating = {{599}};
         },
         "fault cable-contacts-too-few", "VPANEL takes 0.6 A through 1 contact"},
        {"contacts that carry more than sixty percent",
         [](Route& route) {
           tests::cut(route, 31);
           tests::cut(route, 32);
           route.board.contact_rating = {{999}};
         },
         "warning cable-contacts-too-few", "60 % of it"},
        {"supply and ground on one pin",
         [](Route& route) { route.cable.wires.push_back({4, 30, "AWG 26", ""}); },
         "danger cable-short, danger cable-short", "joins VPANEL to ground"},
        {"a signal on ground", [](Route& route) { tests::wire_to(route, 29 - 2).far_pin = 29; },
         "fault cable-signal-missing, fault cable-net-misplaced", "brings SCAN from X2 to X1"},
        {"wires of a pair in two twists", [](Route& route) { tests::wire_to(route, 5).pair = "C7"; },
         "warning cable-pair-split", "A0 are not twisted"},
        {"too long", [](Route& route) { route.cable.length = {963'000}; }, "warning cable-too-long",
         // 500 Mbit/s x m / 519.75 Mbit/s = 962.0 mm
         "500 Mbit/s x m allow 962 mm"},
        {"twice too long", [](Route& route) { route.cable.length = {1'925'000}; }, "fault cable-too-long",
         "allow"},
        {"a connector whose nets nobody wrote down", [](Route& route) { route.far.nets.clear(); },
         "note cable-not-followed", "no nets of X1"},
    };
    for (const WrongCable& wrong : wrong_cables) {
      CAPTURE(std::string(wrong.what));
      Route route = tests::bench_route();
      wrong.spoil(route);
      const auto findings = judge(route, tests::bench_loads());
      CHECK(tests::named(findings) == wrong.named);
      REQUIRE_FALSE(findings.empty());
      CAPTURE(findings.front().consequence);
      CHECK(findings.front().consequence.find(wrong.says) != std::string::npos);
      for (const auto& finding : findings) {
        CHECK(finding.subject == "cables.W1");
        CHECK_FALSE(finding.expected.empty());
        CHECK_FALSE(finding.actual.empty());
      }
    }
  }

  TEST_CASE("at a limit exactly nothing is found") {
    Route route = tests::bench_route();
    tests::cut(route, 31);
    tests::cut(route, 32);
    route.far.contact_rating = {{1000}};  // 60 % of 1 A through one contact is 0.6 A
    route.cable.length = {962'000};
    CHECK(tests::named(judge(route, tests::bench_loads())) == "");
  }

  TEST_CASE("pairs that the mapping doesn't use may be missing") {
    Route route = tests::bench_route();
    auto loads = tests::bench_loads();
    for (const int pin : {14, 15, 25, 26}) tests::cut(route, pin);
    CHECK(tests::named(judge(route, loads)) == "fault cable-pair-open, fault cable-pair-open");
    loads.link.mapping = model::Mapping::kRgb18;
    CHECK(tests::named(judge(route, loads)) == "");
    for (const int pin : {16, 17, 18, 19, 21, 22, 23, 24}) tests::cut(route, pin);
    loads.link.channels = 1;
    CHECK(tests::named(judge(route, loads)) == "");
  }
}
