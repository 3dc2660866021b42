#include "sim/port/seat.hpp"

namespace sim::port {

using protocol::pdu::ExceptionCode;

SeatBus::SeatBus(const line::BusSettings& settings, const Seats& seats) : seats_{seats}, bus_{settings} {
  bus_.when_fault_acts([this](std::size_t station, line::Acted how) { seats_[station]->fault_acts(how); });
  sync();
}

void SeatBus::sync() {
  while (asked_.size() < seats_.size()) {
    const Seat& seat = *seats_[asked_.size()];
    asked_.push_back(std::make_unique<Asked>(bus_, seat));
    bus_.add(seat.address, *asked_.back(), [this, &seat] {
      seat.live_until(bus_.time());
      return seat.answers();
    });
  }
  for (std::size_t i = 0; i < seats_.size(); ++i) {
    bus_.set_fault(i, seats_[i]->fault);
    bus_.attach(i, seats_[i]->attached);
  }
}

bool SeatBus::Asked::awake() const {
  seat_.live_until(bus_.time());
  return seat_.answers();
}

ExceptionCode SeatBus::Asked::read_registers(protocol::session::Table table, std::uint16_t address,
                                             protocol::base::WordSink words) {
  if (!awake()) return ExceptionCode::kServerDeviceFailure;  // nobody hears it
  return seat_.registers->read_registers(table, address, words);
}

ExceptionCode SeatBus::Asked::write_registers(std::uint16_t address, protocol::base::Words words) {
  if (!awake()) return ExceptionCode::kServerDeviceFailure;
  return seat_.registers->write_registers(address, words);
}

protocol::session::Object SeatBus::Asked::identification(std::uint8_t id) {
  if (!awake()) return {};
  return seat_.registers->identification(id);
}

ExceptionCode SeatBus::Asked::read_file(std::uint16_t file, std::uint16_t record,
                                        protocol::base::WordSink words) {
  if (!awake()) return ExceptionCode::kServerDeviceFailure;
  return seat_.registers->read_file(file, record, words);
}

protocol::session::Queued SeatBus::Asked::read_fifo(std::uint16_t address, protocol::base::WordSink words) {
  if (!awake()) return {ExceptionCode::kServerDeviceFailure, 0};
  return seat_.registers->read_fifo(address, words);
}

protocol::base::Octets SeatBus::Asked::server_id() {
  if (!awake()) return {};
  return seat_.registers->server_id();
}

}  // namespace sim::port
