#pragma once

#include <map>
#include <optional>
#include <string>

#include "host/model/quantity.hpp"

namespace host::model {

enum class Level { kLow, kHigh };

/// A pin of a panel that chooses how the panel works.
struct SelectPin {
  Level needs = Level::kLow;  // at which the panel is as its file describes it
  Level open = Level::kLow;   // where it stands when nothing is wired to it
  friend bool operator==(const SelectPin&, const SelectPin&) = default;
};

/// A connector of a board or a panel. Pins count from 1.
struct Connector {
  std::string id;                   // "X2"
  std::string family;               // the key `class` in a file: what a cable's end must be to mate with it
  int pins = 0;                     // how many; as many as `nets` reaches when a file doesn't say
  Micrometres x, y;                 // of pin 1, from the lower left corner, for drawings
  std::string pin_1;                // "left", "right", "top", "bottom"
  bool keyed = true;                // goes in one way round only
  std::map<int, std::string> nets;  // by pin; a pin not named is not connected
  std::optional<Milliamps> contact_rating;  // of one contact by itself, as data sheets print it
  std::map<int, SelectPin> selects;         // by pin; each has a net as well
};

}  // namespace host::model
