#include <doctest/doctest.h>

#include "tests/host/expect/nets/bench_cable.hpp"

using namespace host;
using expect::nets::Route;

TEST_SUITE("host/expect/nets") {
  TEST_CASE("a housing that isn't keyed is tried the wrong way round") {
    for (const bool at_board : {true, false}) {
      CAPTURE(at_board);
      Route route = tests::bench_route();
      (at_board ? route.board : route.far).keyed = false;
      const auto findings = judge(route, tests::bench_loads());
      REQUIRE(tests::named(findings) == "warning cable-not-keyed");
      CAPTURE(findings.front().consequence);
      CHECK(findings.front().consequence.find(at_board ? "X2 isn't keyed" : "X1 isn't keyed") !=
            std::string::npos);
      CHECK(findings.front().consequence.find("VPANEL") !=
            std::string::npos);  // the harm, not any difference
    }
  }

  TEST_CASE("a connector that may be turned round harmlessly needs no mark") {
    Route route;
    route.designator = "W5";
    route.board.nets = {{1, "VLIGHT"}, {2, "GND"}, {3, "VLIGHT"}};
    route.board.pins = 3;
    route.board.keyed = false;
    route.far = route.board;
    route.far.keyed = true;
    route.cable.far_family = "other";
    for (int pin = 1; pin <= 3; ++pin) route.cable.wires.push_back({pin, pin, "AWG 24", ""});
    CHECK(tests::named(judge(route, {})) == "");
  }

  TEST_CASE("ends of one class are told when the wrong one would do harm, and named when it is in") {
    Route route = tests::bench_route();
    route.board.family = route.far.family = route.cable.board_family = route.cable.far_family = "ribbon-32";
    auto loads = tests::bench_loads();
    loads.link.connector = "ribbon-32";
    auto findings = judge(route, loads);
    REQUIRE(tests::named(findings) == "warning cable-not-keyed");
    CHECK(findings.front().consequence.find("Both ends of W1 are a ribbon-32") != std::string::npos);

    for (auto& wire : route.cable.wires) std::swap(wire.board_pin, wire.far_pin);
    findings = judge(route, loads);
    REQUIRE_FALSE(findings.empty());
    CHECK(findings.front().id == model::FindingId::kCableWrongEnd);
    CHECK(findings.front().severity == model::Severity::kDanger);
  }

  TEST_CASE("of several connectors of one family each cable takes its own") {
    model::Kit kit;
    for (const char* id : {"X3", "X4"}) {
      model::Connector connector;
      connector.id = id;
      connector.family = "light-out-6";
      kit.board.connectors.push_back(connector);
      connector.id = std::string(id) == "X3" ? "X7" : "X8";
      connector.family = "light-6";
      kit.panel.connectors.push_back(connector);
    }
    model::Cable cable;
    cable.board_family = "light-out-6";
    cable.far_family = "light-6";
    kit.cables["W2"] = cable;
    kit.cables["W3"] = cable;
    cable.far_family = "light-9";
    kit.cables["W4"] = cable;
    const auto routes = expect::nets::routes(kit);
    REQUIRE(routes.size() == 2);  // W4 mates with nothing
    CHECK(routes[0].board.id == "X3");
    CHECK(routes[0].far.id == "X7");
    CHECK(routes[1].board.id == "X4");
    CHECK(routes[1].far.id == "X8");
  }

  TEST_CASE("a keypad's cable is followed to the keypad") {
    model::Kit kit;
    model::Connector connector;
    connector.id = "X4";
    connector.family = "keypad-out-2";
    connector.nets = {{1, "VKEYPAD"}, {2, "GND"}};
    kit.board.connectors = {connector};
    kit.keypad.emplace();
    kit.keypad->about.id = "five-key";
    kit.keypad->connector = "keypad-2";
    kit.keypad->nets = {{1, "GND"}, {2, "VKEYPAD"}};
    model::Cable cable;
    cable.board_family = "keypad-out-2";
    cable.far_family = "keypad-2";
    cable.wires = {{1, 1, "AWG 28", ""}, {2, 2, "AWG 28", ""}};
    kit.cables["W3"] = cable;
    const auto routes = expect::nets::routes(kit);
    REQUIRE(routes.size() == 1);
    CHECK(routes[0].far_part == "keypad");
    CHECK(judge(routes[0], {}).front().severity == model::Severity::kDanger);
    std::swap(kit.cables["W3"].wires[0].far_pin, kit.cables["W3"].wires[1].far_pin);
    CHECK(tests::named(judge(expect::nets::routes(kit)[0], {})) == "");
  }
}
