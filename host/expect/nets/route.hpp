#pragma once

#include <string>
#include <vector>

#include "host/model/kit.hpp"

namespace host::expect::nets {

/// A cable between the two connectors it joins.
struct Route {
  std::string designator;  // "W1"
  model::Cable cable;
  model::Connector board, far;  // far: of the panel, or of the keypad
  std::string far_part;         // "panel", "keypad"
};

/// The routes of a kit, by designator. Of several connectors of one family each cable takes the next. A cable
/// whose end mates with nothing has none.
[[nodiscard]] std::vector<Route> routes(const model::Kit& kit);

/// Are the nets of both connectors described?
[[nodiscard]] bool can_be_followed(const Route& route);

}  // namespace host::expect::nets
