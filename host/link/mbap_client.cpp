#include "host/link/mbap_client.hpp"

#include <algorithm>

namespace host::link {

using protocol::base::Duration;
using protocol::base::milliseconds;
using protocol::base::Octets;
using protocol::mbap::Decoder;
using protocol::pdu::ExceptionCode;
using protocol::pdu::Match;
using protocol::pdu::Response;
using protocol::session::Exchange;
using protocol::session::Failure;
using protocol::session::FailureKind;
using protocol::session::Step;

namespace {

// A server that is busy, or a gateway whose line was silent, is asked again a moment later.
constexpr Duration kPause = milliseconds(50);

bool passes(ExceptionCode code) {
  return code == ExceptionCode::kServerDeviceBusy || code == ExceptionCode::kGatewayTargetFailed;
}

}  // namespace

MbapClient::MbapClient(const protocol::session::ClientSettings& settings)
    : settings_{settings}, transaction_{static_cast<std::uint16_t>(settings.seed >> 8)} {
  statistics_.echo = protocol::session::Echo::kAbsent;
}

void MbapClient::open(Instant now) {
  decoder_.reset();
  lost_ = false;
  const bool inputs = settings_.probe_table == protocol::session::Table::kInput;
  begin(inputs ? protocol::pdu::read_input_registers(settings_.probe_address, 1)
               : protocol::pdu::read_holding_registers(settings_.probe_address, 1),
        Exchange::kProbe, now);
}

void MbapClient::request(const protocol::pdu::Request& request, Instant now) {
  begin(request, Exchange::kRequest, now);
}

void MbapClient::begin(const protocol::pdu::Request& request, Exchange exchange, Instant now) {
  request_ = request;
  exchange_ = exchange;
  failed_attempts_ = 0;
  until_ = now;
  state_ = State::kPausing;
  if (lost_) {
    fail(FailureKind::kNoise, now);
  }
}

void MbapClient::cancel(Instant now) {
  if (state_ != State::kIdle && state_ != State::kFinished) {
    fail(FailureKind::kCancelled, now);
  }
}

void MbapClient::transmit(Instant now) {
  adu_ = transaction_.ask(settings_.unit_address, request_);
  ++statistics_.transactions;
  statistics_.octets_sent += adu_.size;
  octets_in_exchange_ = 0;
  others_seen_ = false;
  sent_at_ = now;
  until_ = Instant::max();
  state_ = State::kSending;
}

Step MbapClient::step(Instant now) {
  switch (state_) {
    case State::kIdle: return {};
    case State::kFinished: break;
    case State::kPausing:
      if (now < until_) {
        return {Step::Kind::kWait, {}, until_};
      }
      transmit(now);
      return {Step::Kind::kSend, adu_.octets(), now};
    case State::kSending:
    case State::kAwaiting:
      if (state_ == State::kSending || now < until_) {
        return {Step::Kind::kWait, {}, until_};
      }
      ++statistics_.timeouts;
      fail(others_seen_               ? FailureKind::kMismatch
           : octets_in_exchange_ == 0 ? FailureKind::kSilence
           : decoder_.unfinished()    ? FailureKind::kTruncated
                                      : FailureKind::kForeign,
           now);
      return step(now);
  }
  state_ = State::kIdle;
  return {Step::Kind::kFinished, {}, now};
}

void MbapClient::sent(Instant now) {
  if (state_ != State::kSending) {
    return;
  }
  sent_at_ = now;
  // Behind a gateway the frames have their time on a serial line too.
  const std::size_t octets = adu_.size + protocol::mbap::kHeaderSize + request_.answer_size_max();
  until_ = now + settings_.timing.wire_time(octets) + settings_.turnaround_max +
           settings_.adapter_latency_max + settings_.margin;
  state_ = State::kAwaiting;
}

void MbapClient::received(Octets octets, Instant now) {
  statistics_.octets_received += octets.size();
  octets_in_exchange_ =
      static_cast<std::uint16_t>(std::min<std::size_t>(UINT16_MAX, octets_in_exchange_ + octets.size()));
  while (!octets.empty()) {
    switch (decoder_.push(octets)) {
      case Decoder::Outcome::kMore: break;
      case Decoder::Outcome::kForeign: ++statistics_.frames_foreign; break;
      case Decoder::Outcome::kFrame: hear(decoder_.frame(), now); break;
      case Decoder::Outcome::kLost:
        if (!lost_) {
          ++statistics_.frames_bad;
        }
        lost_ = true;
        if (busy() && state_ != State::kFinished) {
          fail(FailureKind::kNoise, now);
        }
        break;
    }
  }
}

void MbapClient::damaged(Instant now) {
  cancel(now);  // a connection damages no octets; one that says so can't be read
}

void MbapClient::hear(const protocol::mbap::Frame& frame, Instant now) {
  const auto match = state_ == State::kSending || state_ == State::kAwaiting ? transaction_.hear(frame)
                                                                             : std::optional<Match>{};
  if (!match.has_value()) {
    ++statistics_.frames_stale;
    others_seen_ = true;
    return;
  }
  ++statistics_.frames_good;
  statistics_.answer_time_last = now - sent_at_;
  statistics_.answer_time_max = std::max(statistics_.answer_time_max, statistics_.answer_time_last);
  switch (*match) {
    case Match::kAnswer: return finish(Response{frame.pdu});
    case Match::kException: {
      const auto code = static_cast<ExceptionCode>(frame.pdu[1]);
      if (exchange_ == Exchange::kProbe && !passes(code) && code != ExceptionCode::kGatewayPathUnavailable) {
        return finish(Response{frame.pdu});
      }
      return fail(FailureKind::kException, now, code);
    }
    case Match::kShape:
    case Match::kFunction: break;
  }
  ++statistics_.frames_stale;
  fail(FailureKind::kMismatch, now);
}

void MbapClient::fail(FailureKind kind, Instant now, ExceptionCode code) {
  transaction_.abandon();
  Failure failure;
  failure.kind = kind;
  failure.during = exchange_;
  failure.exception = code;
  failure.octets_received = octets_in_exchange_;
  failure.failed_attempts = ++failed_attempts_;
  failure.waited = now - sent_at_;
  const bool final = kind == FailureKind::kCancelled || lost_ ||
                     (kind == FailureKind::kException && !passes(code)) ||
                     failed_attempts_ > settings_.retries_max;
  if (final) {
    return finish(failure);
  }
  ++statistics_.retries;
  until_ = kind == FailureKind::kException ? now + kPause : now;
  state_ = State::kPausing;
}

void MbapClient::finish(const protocol::session::Outcome& outcome) {
  outcome_ = outcome;
  state_ = State::kFinished;
}

}  // namespace host::link
