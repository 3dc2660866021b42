#pragma once

#include <map>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "host/model/about.hpp"
#include "host/model/board.hpp"
#include "host/model/panel.hpp"
#include "host/model/parts.hpp"
#include "host/model/timing.hpp"

namespace host::model {

enum class PowerOn { kOff, kAlways, kLast };  // the order of the choices of settings.power_on

/// The recipe of a unit, with every file it names resolved.
struct Kit {
  struct Video {
    std::string input;                         // id of an input of the board
    std::variant<std::string, Timing> timing;  // a standard's own name ("dmt 52h"), or all figures
    Place timing_place;                        // in the kit file
  };
  struct Settings {  // absent: the kit doesn't care
    std::optional<PartsPerMillion> brightness;
    std::optional<PowerOn> power_on;
    std::optional<Hertz> pwm_frequency;
  };
  struct Accept {                       // beyond what is accepted anyway
    std::vector<std::string> attested;  // strap ids a person may answer for
    bool marginal = false;              // readings within their uncertainty of a limit
  };

  About about;
  Panel panel;
  Board board;
  Supply supply;
  std::optional<Keypad> keypad;
  std::map<std::string, Cable> cables;  // by designator: "W1"
  Video video;
  Settings settings;
  Accept accept;
  std::string digest;  // SHA-256, 64 hexadecimal digits, over every file the kit resolves to
};

}  // namespace host::model
