#include "sim/port/seat.hpp"

namespace sim::port {

using protocol::pdu::ExceptionCode;

SeatBus::SeatBus(const line::BusSettings& settings, const Seats& seats) : seats_{seats}, bus_{settings} {
  sync();
}

void SeatBus::sync() {
  while (asked_.size() < seats_.size()) {
    const Seat& seat = *seats_[asked_.size()];
    asked_.push_back(std::make_unique<Asked>(bus_, seat));
    bus_.add(seat.address, *asked_.back());
  }
  for (std::size_t i = 0; i < seats_.size(); ++i) {
    bus_.set_fault(i, seats_[i]->fault);
    bus_.attach(i, seats_[i]->attached);
  }
}

ExceptionCode SeatBus::Asked::read_registers(protocol::session::Table table, std::uint16_t address,
                                             protocol::base::WordSink words) {
  seat_.live_until(bus_.time());
  return seat_.registers->read_registers(table, address, words);
}

ExceptionCode SeatBus::Asked::write_registers(std::uint16_t address, protocol::base::Words words) {
  seat_.live_until(bus_.time());
  return seat_.registers->write_registers(address, words);
}

protocol::session::Object SeatBus::Asked::identification(std::uint8_t id) {
  seat_.live_until(bus_.time());
  return seat_.registers->identification(id);
}

ExceptionCode SeatBus::Asked::read_file(std::uint16_t file, std::uint16_t record,
                                        protocol::base::WordSink words) {
  seat_.live_until(bus_.time());
  return seat_.registers->read_file(file, record, words);
}

protocol::session::Queued SeatBus::Asked::read_fifo(std::uint16_t address, protocol::base::WordSink words) {
  seat_.live_until(bus_.time());
  return seat_.registers->read_fifo(address, words);
}

protocol::base::Octets SeatBus::Asked::server_id() {
  seat_.live_until(bus_.time());
  return seat_.registers->server_id();
}

}  // namespace sim::port
