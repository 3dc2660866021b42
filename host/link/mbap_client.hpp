#pragma once

#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"
#include "protocol/mbap/decoder.hpp"
#include "protocol/mbap/frame.hpp"
#include "protocol/mbap/transaction.hpp"
#include "protocol/pdu/request.hpp"
#include "protocol/session/client.hpp"

namespace host::link {

/// The asking end of a Modbus/TCP connection to one unit: a state machine without I/O or clock, used as
/// protocol::session::Client is. The transaction identifier tells which answer is whose, so there is neither
/// fence nor spacer; an answer to anything else is left aside and waiting goes on.
///
///   state      event                              action                              next
///   idle       open()                             a read whose data is thrown away    sending
///   idle       request()                          the request                         sending
///   sending    step()                             Step::send                          awaiting
///   awaiting   answer or refusal                  keep the outcome                    finished
///   awaiting   busy (06), gateway's silence (0B)  after a pause the same again        sending, finished
///   awaiting   answer of another shape            the same again                      sending, finished
///   awaiting   deadline                           the same again, another identifier  sending, finished
///   any        length field out of range          nothing can be read any more        finished
///   finished   step()                             Step::Kind::kFinished               idle
///
/// Source  MODBUS Messaging on TCP/IP Implementation Guide V1.0b, 4.4.1.
class MbapClient {
 public:
  using Instant = protocol::base::Instant;

  explicit MbapClient(const protocol::session::ClientSettings& settings);

  void open(Instant now);
  void request(const protocol::pdu::Request& request, Instant now);
  void cancel(Instant now);
  [[nodiscard]] protocol::session::Step step(Instant now);
  void sent(Instant now);
  void received(protocol::base::Octets octets, Instant now);
  void damaged(Instant now);
  [[nodiscard]] const protocol::session::Outcome& outcome() const { return outcome_; }
  [[nodiscard]] bool busy() const { return state_ != State::kIdle; }
  [[nodiscard]] const protocol::session::Statistics& statistics() const { return statistics_; }

 private:
  enum class State : std::uint8_t { kIdle, kPausing, kSending, kAwaiting, kFinished };

  void begin(const protocol::pdu::Request& request, protocol::session::Exchange exchange, Instant now);
  void transmit(Instant now);
  void hear(const protocol::mbap::Frame& frame, Instant now);
  void fail(protocol::session::FailureKind kind, Instant now,
            protocol::pdu::ExceptionCode code = protocol::pdu::ExceptionCode::kNone);
  void finish(const protocol::session::Outcome& outcome);

  protocol::session::ClientSettings settings_;
  protocol::session::Statistics statistics_;
  protocol::session::Outcome outcome_{protocol::session::Failure{}};
  protocol::mbap::Transaction transaction_;
  protocol::mbap::Decoder decoder_;
  protocol::mbap::Adu adu_;
  protocol::pdu::Request request_;
  protocol::session::Exchange exchange_ = protocol::session::Exchange::kRequest;
  State state_ = State::kIdle;
  bool lost_ = false;
  bool others_seen_ = false;
  std::uint8_t failed_attempts_ = 0;
  std::uint16_t octets_in_exchange_ = 0;
  Instant sent_at_{};
  Instant until_ = Instant::max();
};

}  // namespace host::link
