#pragma once

// The part of the client that says what goes on the wire next, and how long that may take. See
// client_machine.hpp.
//
//   echo unknown                                 probe
//   broadcast                                    request
//   suspect                                      fence
//   the request has the shape of the last read   spacer
//   otherwise                                    request (or, for open(), finished)

#include <algorithm>

#include "protocol/session/client.hpp"
#include "protocol/session/client_fence.hpp"

namespace protocol::session {

template <typename Guards>
typename Client<Guards>::Shape Client<Guards>::shape_of(const pdu::Request& request) {
  if (request.function() == pdu::FunctionCode::kDiagnostics && request.address() != 0) {
    return {0x08, request.address()};
  }
  if (!request.is_read()) return {};
  const auto function = static_cast<std::uint8_t>(request.function());
  if (request.function() != pdu::FunctionCode::kEncapsulatedInterface) {
    return {function, static_cast<std::uint16_t>(request.answer_size_max())};
  }
  return {function, static_cast<std::uint16_t>((request.count() << 8) | request.address())};
}

template <typename Guards>
bool Client<Guards>::needs_spacer(const pdu::Request& request) const {
  const Shape shape = shape_of(request);
  return Guards::kUnlikeNeighbours && shape != Shape{} && shape == last_read_;
}

template <typename Guards>
base::Duration Client<Guards>::gap() const {
  return std::max(settings_.gap_min, settings_.timing.frame_gap());
}

// From the last octet handed to the port to the last octet of the answer, at worst. A fence that failed is
// given more each time: what it waits behind is longer than was thought.
template <typename Guards>
base::Duration Client<Guards>::patience() const {
  const std::size_t answer = rtu::kAduOverhead + current_.answer_size_max();
  const base::Duration once = settings_.timing.wire_time(adu_.size + answer) + settings_.turnaround_max +
                              settings_.adapter_latency_max + settings_.margin;
  return exchange_ == Exchange::kFence ? once * (1 << std::min<int>(fences_failed_, kRetriesMax)) : once;
}

template <typename Guards>
pdu::Request Client<Guards>::probe_read(std::uint16_t count) const {
  return settings_.probe_table == Table::kInput ? pdu::read_input_registers(settings_.probe_address, count)
                                                : pdu::read_holding_registers(settings_.probe_address, count);
}

template <typename Guards>
pdu::Request Client<Guards>::probe_request() const {
  const pdu::Request one = probe_read(1);
  return needs_spacer(one) ? probe_read(2) : one;
}

template <typename Guards>
pdu::Request Client<Guards>::spacer_request() const {
  const std::uint16_t count = asked_.count() == 1 ? 2 : 1;
  switch (asked_.function()) {
    case pdu::FunctionCode::kReadHoldingRegisters:
      return pdu::read_holding_registers(asked_.address(), count);
    case pdu::FunctionCode::kReadInputRegisters: return pdu::read_input_registers(asked_.address(), count);
    default: return probe_read(1);
  }
}

template <typename Guards>
void Client<Guards>::plan(base::Instant now) {
  const bool was_silence = fence_silence() > base::Duration{};
  if (goal_ == Goal::kBroadcast) {
    exchange_ = Exchange::kRequest;
    current_ = asked_;
  } else if (Guards::kEcho && statistics_.echo == Echo::kUnknown) {
    exchange_ = Exchange::kProbe;
    current_ = probe_request();
  } else if (Guards::kFence && suspect_) {
    plan_fence();
  } else {
    suspect_ = false;
    if (goal_ == Goal::kOpen) {
      finish(pdu::Response{current_.octets()});
      return;
    }
    exchange_ = needs_spacer(asked_) ? Exchange::kSpacer : Exchange::kRequest;
    if (exchange_ == Exchange::kSpacer) {
      current_ = spacer_request();
    } else {
      current_ = asked_;
    }
  }
  rtu::seal(adu_, goal_ == Goal::kBroadcast ? pdu::kBroadcast : settings_.unit_address, current_.octets());
  const bool waited_already =
      state_ == State::kPacing && (was_silence || fence_silence() == base::Duration{});
  state_ = State::kPacing;
  if (waited_already) return;
  // Longer than any frame and any answer still to come: who is not quiet by then never is.
  quiet_by_ = now + settings_.timing.wire_time(2 * rtu::kAduSizeMax) + settings_.turnaround_max + 2 * gap() +
              2 * fence_silence();
}

template <typename Guards>
void Client<Guards>::transmit(base::Instant now) {
  ++statistics_.transactions;
  statistics_.octets_sent += adu_.size;
  if (exchange_ == Exchange::kFence) ++statistics_.fences;
  if (exchange_ == Exchange::kSpacer) ++statistics_.spacers;
  const Shape shape = shape_of(current_);
  if (shape != Shape{}) last_read_ = shape;
  const auto probes = settings_.probe_table == Table::kInput ? pdu::FunctionCode::kReadInputRegisters
                                                             : pdu::FunctionCode::kReadHoldingRegisters;
  if (current_.function() == probes) {
    counts_used_[current_.count() / 32 % counts_used_.size()] |= 1U << (current_.count() % 32);
  }
  echo_seen_ = damaged_ = stale_seen_ = foreign_seen_ = garbage_seen_ = false;
  octets_in_exchange_ = crc_expected_ = crc_received_ = 0;
  skipped_ = 0;
  if (Guards::kStrayOctets) begin_ = end_ = 0;
  settles_at_ = base::Instant::max();
  sent_at_ = now;
  state_ = State::kSending;
}

}  // namespace protocol::session
