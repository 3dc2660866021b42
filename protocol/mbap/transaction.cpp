#include "protocol/mbap/transaction.hpp"

namespace protocol::mbap {

Adu Transaction::ask(std::uint8_t unit, const pdu::Request& request) {
  request_ = request;
  unit_ = unit;
  current_ = next_++;
  open_ = true;
  return seal(current_, unit, request.octets());
}

std::optional<pdu::Match> Transaction::hear(const Frame& frame) {
  if (!open_ || frame.transaction != current_ || frame.unit != unit_) return std::nullopt;
  open_ = false;
  return pdu::match(request_, frame.pdu);
}

}  // namespace protocol::mbap
