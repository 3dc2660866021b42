#pragma once

#include <optional>
#include <string>
#include <vector>

#include "host/expect/nets/leads.hpp"
#include "host/model/panel.hpp"
#include "host/signal/lvds_slots.hpp"

namespace host::expect::nets {

/// What arrives at a pair of the far connector: the net at each of its two pins, empty where none does.
struct PairArrival {
  std::string pair;                 // of the far connector: "A0"
  std::string minus, plus;          // nets of the board
  int minus_pin = 0, plus_pin = 0;  // of the far connector; 0 when it has no such pin
  const Lead* minus_lead = nullptr;
  const Lead* plus_lead = nullptr;

  /// Both wires come from one pair of the board.
  [[nodiscard]] bool whole() const;
  /// They do, with their signs exchanged.
  [[nodiscard]] bool reversed() const;
};

/// Every pair that the far connector has, by name. Views `leads`.
[[nodiscard]] std::vector<PairArrival> pair_arrivals(const Route& route, const std::vector<Lead>& leads);

/// The wiring of an LVDS link, to send a picture through.
///
/// Returns  nothing for eDP, for a cable that can't be followed or isn't the link's, and for a count of
///          channels that no link has.
[[nodiscard]] std::optional<signal::LinkPath> link_path(const Route& route, const model::Panel::Link& link);

}  // namespace host::expect::nets
