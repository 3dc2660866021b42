#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include <tl/expected.hpp>

#include "sim/line/bus.hpp"
#include "sim/port/loop.hpp"
#include "sim/port/options.hpp"
#include "sim/port/seat.hpp"

namespace sim::port {

/// What an outlet did, for the lines the program prints at its end.
struct OutletCounts {
  line::Hits hits;
  std::uint64_t answers = 0;
  std::uint64_t pieces = 0;             // handed on to hosts
  protocol::base::Duration late_max{};  // the latest of them behind its time
  protocol::base::Duration late_sum{};  // of all
  std::uint64_t clients_refused = 0;    // there were too many
  std::uint64_t clients_idle = 0;       // they gave way to others
  std::uint64_t clients_dropped = 0;    // they didn't take what they had asked for
};

/// The real clock, as the lines see it.
using Now = std::function<protocol::base::Instant()>;

/// Where hosts reach the units of a port. Watches its descriptors itself.
class Outlet {
 public:
  virtual ~Outlet() = default;
  Outlet(const Outlet&) = delete;
  Outlet& operator=(const Outlet&) = delete;

  /// As a host would name it: a link's name, "tcp://127.0.0.1:4321".
  [[nodiscard]] virtual std::string name() const = 0;

  /// Lets everything happen that is due, and hands on what is to be handed on.
  virtual void go_on() = 0;
  /// When to go_on() again; nothing: not before a host does something.
  [[nodiscard]] virtual std::optional<protocol::base::Instant> next() const = 0;

  /// A seat has changed.
  virtual void sync() = 0;

  [[nodiscard]] virtual OutletCounts counts() const = 0;

 protected:
  Outlet() = default;
};

/// What every outlet is made with; all of it outlives the outlet.
struct OutletSetup {
  Loop& loop;
  const Seats& seats;
  line::BusSettings bus;
  Now now;
  bool remove_folder = false;  // of a pseudo-terminal's link, at the end
};

using MadeOutlet = tl::expected<std::unique_ptr<Outlet>, Ending>;

/// Errors   73: the link can't be made.
[[nodiscard]] MadeOutlet make_pty_outlet(const std::string& link, const OutletSetup& setup);
/// Errors   66: no such port; 74: it is busy, or no terminal; 77: no right to it.
[[nodiscard]] MadeOutlet make_serial_outlet(const std::string& device, const OutletSetup& setup);
/// RTU frames over TCP. Each client has a line of its own to the units, so that nobody gets another's answer.
/// Errors   64: the address can't be read; 66: no such host; 74: it can't be listened on; 77: no right to.
[[nodiscard]] MadeOutlet make_tcp_outlet(const std::string& where, const OutletSetup& setup);
/// Modbus/TCP. The unit identifier is a unit's address; FFh and 0 are the only unit, where there is one.
[[nodiscard]] MadeOutlet make_mbtcp_outlet(const std::string& where, const OutletSetup& setup);

/// Adds what one outlet or line did to another's.
void add(OutletCounts& all, const OutletCounts& one);
/// What a bus did.
[[nodiscard]] OutletCounts counts_of(const line::Bus& bus);

/// Takes what a bus has for its host by now, and counts how late that is.
[[nodiscard]] std::vector<std::uint8_t> take_for_host(line::Bus& bus, protocol::base::Instant now,
                                                      OutletCounts& counts);

}  // namespace sim::port
