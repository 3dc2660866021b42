#pragma once

#include <map>
#include <string>
#include <vector>

#include "host/model/about.hpp"
#include "host/model/connector.hpp"
#include "host/model/quantity.hpp"

namespace host::model {

/// A cable between board and panel, backlight or keypad. Its two ends are not interchangeable.
struct Cable {
  struct Wire {
    int board_pin = 0, far_pin = 0;
    std::string gauge;  // "AWG 28"
    std::string pair;   // name of the twisted pair it belongs to; empty: single
  };
  About about;
  std::string board_family, far_family;  // families of the connectors its ends mate with
  Micrometres length;
  std::vector<Wire> wires;
};

/// A DC supply.
struct Supply {
  About about;
  Bounds<Millivolts> voltage;  // all three present
  Bounds<Millivolts>
      extremes;      // dips and surges of moments, as on a vehicle's net; empty: none beyond voltage
  Milliwatts power;  // continuous
};

/// A keypad on a resistor ladder.
struct Keypad {
  About about;
  Bounds<Millivolts> voltage;
  Milliamps current;  // at worst, a key held and its lamps lit
  int keys = 0;
  std::string connector;
  std::map<int, std::string> nets;  // of its connector, by pin; empty: not described
};

}  // namespace host::model
