#pragma once

#include <map>
#include <string>

#include "host/model/quantity.hpp"

namespace host::model {

/// A connector of a board or a panel. Pins count from 1.
struct Connector {
  std::string id;                   // "X2"
  std::string family;               // the key `class` in a file: what a cable's end must be to mate with it
  int pins = 0;                     // how many; as many as `nets` reaches when a file doesn't say
  Micrometres x, y;                 // of pin 1, from the lower left corner, for drawings
  std::string pin_1;                // "left", "right", "top", "bottom"
  bool keyed = true;                // goes in one way round only
  std::map<int, std::string> nets;  // by pin; a pin not named is not connected
};

}  // namespace host::model
