#include "tests/host/expect/nets/bench_cable.hpp"

#include <algorithm>
#include <stdexcept>

using namespace host;

namespace tests {
namespace {

const std::vector<std::string> kChannelA = {"A0-", "A0+",   "A1-",   "A1+", "A2-", "A2+",
                                            "GND", "ACLK-", "ACLK+", "A3-", "A3+"};
const std::vector<std::string> kChannelB = {"B0-", "B0+",   "B1-",   "B1+", "GND", "B2-",
                                            "B2+", "BCLK-", "BCLK+", "B3-", "B3+"};

void name_from(model::Connector& connector, int pin, const std::vector<std::string>& nets) {
  for (const std::string& net : nets) connector.nets[pin++] = net;
}

void add(model::Cable& cable, int board_pin, int far_pin, std::string pair = {}) {
  cable.wires.push_back({board_pin, far_pin, pair.empty() ? "AWG 26" : "AWG 30", std::move(pair)});
}

}  // namespace

expect::nets::Route bench_route() {
  expect::nets::Route route;
  route.designator = "W1";
  route.far_part = "panel";
  route.board.id = "X2";
  route.board.family = "panel-out-30";
  route.board.pins = 30;
  route.board.contact_rating = {{1000}};
  name_from(route.board, 1, {"VPANEL", "VPANEL", "VPANEL", "GND", "GND", "GND"});
  name_from(route.board, 7, kChannelA);
  name_from(route.board, 18, kChannelB);
  name_from(route.board, 29, {"SCAN", "V33"});
  route.far.id = "X1";
  route.far.family = "panel-32";
  route.far.pins = 32;
  route.far.contact_rating = {{1000}};
  name_from(route.far, 1, {"MAP_SEL", "GND", "GND", "GND"});
  name_from(route.far, 5, kChannelA);
  name_from(route.far, 16, kChannelB);
  name_from(route.far, 27, {"SCAN"});
  name_from(route.far, 29, {"GND", "VPANEL", "VPANEL", "VPANEL"});
  route.far.selects[1] = {model::Level::kLow, model::Level::kHigh};

  model::Cable& cable = route.cable;
  cable.about.id = "bench-30-32";
  cable.board_family = route.board.family;
  cable.far_family = route.far.family;
  cable.length = {300'000};
  for (int i = 0; i < 3; ++i) {
    add(cable, 1 + i, 30 + i);
    add(cable, 4 + i, 2 + i);
  }
  for (int pin = 7; pin <= 28; ++pin) {
    const std::string& net = route.board.nets.at(pin);
    add(cable, pin, pin - 2, net == "GND" ? std::string() : net.substr(0, net.size() - 1));
  }
  add(cable, 29, 27);
  add(cable, 4, 1);  // MAP_SEL to ground
  return route;
}

expect::nets::Loads bench_loads() {
  expect::nets::Loads loads;
  loads.link.channels = 2;
  loads.link.connector = "panel-32";
  loads.bit_rate_kbps = 519'750;
  loads.supply["VPANEL"] = {600};
  return loads;
}

model::Cable::Wire& wire_to(expect::nets::Route& route, int far_pin) {
  auto& wires = route.cable.wires;
  const auto found = std::ranges::find(wires, far_pin, &model::Cable::Wire::far_pin);
  if (found == wires.end()) throw std::logic_error("no wire ends at far pin " + std::to_string(far_pin));
  return *found;
}

void cut(expect::nets::Route& route, int far_pin) {
  std::erase_if(route.cable.wires,
                [far_pin](const model::Cable::Wire& wire) { return wire.far_pin == far_pin; });
}

void exchange(expect::nets::Route& route, int far_pin, int other_far_pin) {
  model::Cable::Wire& one = wire_to(route, far_pin);
  model::Cable::Wire& other = wire_to(route, other_far_pin);
  std::swap(one.board_pin, other.board_pin);
  std::swap(one.pair, other.pair);
}

std::string named(const expect::nets::Findings& findings) {
  std::string text;
  for (const model::Finding& finding : findings) {
    text += (text.empty() ? "" : ", ") + std::string(to_text(finding.severity)) + " " +
            std::string(model::kind_of(finding.id).name);
  }
  return text;
}

}  // namespace tests
