#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <vector>

#include "sim/line/bus.hpp"
#include "sim/unit/arming.hpp"

namespace sim::port {

/// A unit's place on the lines of one port: its address, what answers there, and what is wrong with its end.
struct Seat {
  std::uint8_t address = 1;
  line::Answerer answerer;
  /// Lets the unit live on until this instant of the lines' clock.
  std::function<void(protocol::base::Instant)> live_until;
  /// Whether the unit's processor runs, as it has lived so far; one that doesn't answers nothing.
  std::function<bool()> answers;
  /// Tells the unit who sends what the answerer is given next.
  std::function<void(unit::Asker)> asked_by;
  /// That client has gone for good.
  std::function<void(unit::Asker)> link_lost;
  line::StationFault fault;
  /// Its fault has made a difference.
  std::function<void(line::Acted how)> fault_acts;
  bool attached = true;
};

/// Units of one port; a seat is added, never removed.
using Seats = std::vector<std::unique_ptr<Seat>>;

/// A bus at which all seats of a port are, each asked at the instant the octets were there.
class SeatBus {
 public:
  /// `seats` outlive it. `asker` is who is at the other end of the line; a port's only line needs no number.
  SeatBus(const line::BusSettings& settings, const Seats& seats, unit::Asker asker = 0);
  SeatBus(const SeatBus&) = delete;
  SeatBus& operator=(const SeatBus&) = delete;

  /// Takes note of seats that were added, changed or left.
  void sync();

  [[nodiscard]] line::Bus& bus() { return bus_; }
  [[nodiscard]] const line::Bus& bus() const { return bus_; }

 private:
  /// A seat's answer to a request that is there now.
  [[nodiscard]] std::size_t answer(const Seat& seat, protocol::base::OctetSink pdu, std::size_t size) const;

  const Seats& seats_;
  unit::Asker asker_;
  line::Bus bus_;
};

}  // namespace sim::port
