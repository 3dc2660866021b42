#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "sim/port/clock.hpp"
#include "sim/port/loop.hpp"
#include "sim/port/outlet.hpp"

namespace sim::port {

/// Something that is done beside serving: does what is due, and says when it wants to be called again
/// (nothing: never).
using Errand = std::function<std::optional<protocol::base::Instant>(protocol::base::Instant now)>;

/// The parts a running simulator is made of; all outlive serve().
struct Served {
  Loop& loop;
  const Clock& clock;
  const std::vector<std::unique_ptr<Outlet>>& outlets;
  std::vector<Errand> errands;
  const bool& over;  // set by an errand: nothing more to do
};

/// Holds back the signals that end the simulator. Call before anything can be seen from outside, so that none
/// is missed.
void hold_signals();

/// Serves until a signal comes, or it is over. Returns  the number of the signal, or 0. Errors: one line,
/// exit code 74.
[[nodiscard]] tl::expected<int, std::string> serve(const Served& served);

}  // namespace sim::port
