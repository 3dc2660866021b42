#include "host/expect/nets/leads.hpp"

namespace host::expect::nets {
namespace {

std::string net_at(const model::Connector& connector, int pin) {
  const auto found = connector.nets.find(pin);
  return found == connector.nets.end() ? std::string() : found->second;
}

int turned(const model::Connector& connector, int pin, bool turn) {
  return turn ? connector.pins + 1 - pin : pin;
}

}  // namespace

std::vector<Lead> follow(const Route& route, const Fit& fit) {
  std::vector<Lead> leads;
  leads.reserve(route.cable.wires.size());
  for (std::size_t i = 0; i < route.cable.wires.size(); ++i) {
    const model::Cable::Wire& wire = route.cable.wires[i];
    Lead lead;
    lead.wire = i;
    lead.board_pin = turned(route.board, fit.ends_swapped ? wire.far_pin : wire.board_pin, fit.board_turned);
    lead.far_pin =
        turned(route.far, fit.ends_swapped ? wire.board_pin : wire.far_pin, fit.far_turned) + fit.far_shift;
    lead.board_net = net_at(route.board, lead.board_pin);
    lead.far_net = net_at(route.far, lead.far_pin);
    leads.push_back(std::move(lead));
  }
  return leads;
}

std::map<int, std::vector<const Lead*>> by_far_pin(const std::vector<Lead>& leads) {
  std::map<int, std::vector<const Lead*>> result;
  for (const Lead& lead : leads) result[lead.far_pin].push_back(&lead);
  return result;
}

std::vector<int> pins_of(const model::Connector& connector, const std::string& net) {
  std::vector<int> pins;
  for (const auto& [pin, name] : connector.nets) {
    if (name == net) pins.push_back(pin);
  }
  return pins;
}

std::string way_of(const Lead& lead) {
  return "board pin " + std::to_string(lead.board_pin) + " to far pin " + std::to_string(lead.far_pin);
}

std::string net_text(const std::string& net) {
  return net.empty() ? "no net" : net;
}

}  // namespace host::expect::nets
