#include "sim/port/seat.hpp"

#include "protocol/session/answer.hpp"

namespace sim::port {

SeatBus::SeatBus(const line::BusSettings& settings, const Seats& seats, unit::Asker asker)
    : seats_{seats}, asker_{asker}, bus_{settings} {
  bus_.when_fault_acts([this](std::size_t station, line::Acted how) { seats_[station]->fault_acts(how); });
  sync();
}

void SeatBus::sync() {
  while (bus_.size() < seats_.size()) {
    const Seat& seat = *seats_[bus_.size()];
    bus_.add(
        seat.address,
        {[this, &seat](protocol::base::OctetSink pdu, std::size_t size) { return answer(seat, pdu, size); },
         seat.answerer.diagnostics},
        [this, &seat] {
          seat.live_until(bus_.time());
          return seat.answers();
        });
  }
  for (std::size_t i = 0; i < seats_.size(); ++i) {
    bus_.set_fault(i, seats_[i]->fault);
    bus_.attach(i, seats_[i]->attached);
  }
}

std::size_t SeatBus::answer(const Seat& seat, protocol::base::OctetSink pdu, std::size_t size) const {
  seat.live_until(bus_.time());
  if (seat.answers()) {
    seat.asked_by(asker_);
    return seat.answerer.make(pdu, size);
  }
  return protocol::session::refuse(pdu,
                                   protocol::pdu::ExceptionCode::kServerDeviceFailure);  // nobody hears it
}

}  // namespace sim::port
