#pragma once

#include <map>
#include <string>
#include <vector>

#include "host/expect/nets/route.hpp"

namespace host::expect::nets {

/// How a cable is plugged in, or what is supposed of its wires.
struct Fit {
  bool board_turned = false;  // pins counted from the other end of the board's connector
  bool far_turned = false;    // of the far one
  bool ends_swapped = false;  // its far end in the board
  int far_shift = 0;          // pins by which every wire stands further along the far connector
};

/// One wire with what stands at its two ends; nets are empty where nothing is connected.
struct Lead {
  int board_pin = 0, far_pin = 0;
  std::string board_net, far_net;
  std::size_t wire = 0;  // of the cable
};

/// Every wire of the cable, plugged in as `fit` says.
[[nodiscard]] std::vector<Lead> follow(const Route& route, const Fit& fit = {});

/// The leads that end at each pin of the far connector.
[[nodiscard]] std::map<int, std::vector<const Lead*>> by_far_pin(const std::vector<Lead>& leads);

/// Pins of a connector that a net has, ascending.
[[nodiscard]] std::vector<int> pins_of(const model::Connector& connector, const std::string& net);

/// "board pin 3 to far pin 7".
[[nodiscard]] std::string way_of(const Lead& lead);

/// "A0-", "no net".
[[nodiscard]] std::string net_text(const std::string& net);

}  // namespace host::expect::nets
