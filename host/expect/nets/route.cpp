#include "host/expect/nets/route.hpp"

#include <map>

namespace host::expect::nets {
namespace {

/// Connectors by family, handed out in order; when all are taken, the last one again.
class Sockets {
 public:
  void add(const model::Connector& connector) { by_family_[connector.family].push_back(connector); }

  const model::Connector* next(const std::string& family) {
    const auto found = by_family_.find(family);
    if (found == by_family_.end()) return nullptr;
    std::size_t& taken = taken_[family];
    const std::size_t index = taken < found->second.size() ? taken++ : found->second.size() - 1;
    return &found->second[index];
  }

 private:
  std::map<std::string, std::vector<model::Connector>> by_family_;
  std::map<std::string, std::size_t> taken_;
};

model::Connector of_keypad(const model::Keypad& keypad) {
  model::Connector connector;
  connector.id = keypad.about.id;
  connector.family = keypad.connector;
  connector.nets = keypad.nets;
  connector.pins = keypad.nets.empty() ? 0 : keypad.nets.rbegin()->first;
  return connector;
}

}  // namespace

std::vector<Route> routes(const model::Kit& kit) {
  Sockets board;
  Sockets panel;
  Sockets keypad;
  for (const model::Connector& connector : kit.board.connectors) board.add(connector);
  for (const model::Connector& connector : kit.panel.connectors) panel.add(connector);
  if (kit.keypad) keypad.add(of_keypad(*kit.keypad));
  std::vector<Route> result;
  for (const auto& [designator, cable] : kit.cables) {
    const model::Connector* near = board.next(cable.board_family);
    const model::Connector* far = panel.next(cable.far_family);
    const bool to_keypad = far == nullptr;
    if (to_keypad) far = keypad.next(cable.far_family);
    if (near == nullptr || far == nullptr) continue;
    result.push_back({designator, cable, *near, *far, to_keypad ? "keypad" : "panel"});
  }
  return result;
}

bool can_be_followed(const Route& route) {
  return !route.board.nets.empty() && !route.far.nets.empty();
}

}  // namespace host::expect::nets
