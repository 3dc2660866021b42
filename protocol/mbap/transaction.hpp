#pragma once

#include <cstdint>
#include <optional>

#include "protocol/mbap/decoder.hpp"
#include "protocol/mbap/frame.hpp"
#include "protocol/pdu/request.hpp"
#include "protocol/pdu/response.hpp"

namespace protocol::mbap {

/// One question on a connection, one at a time, and which answer is its own: the transaction identifier
/// tells, so that no answer can be taken for another's for as long as 65,536 questions are not outstanding at
/// once. An answer to anything else is left aside and waiting goes on.
///
/// Source  MODBUS Messaging on TCP/IP Implementation Guide V1.0b, 4.4.1.3.
class Transaction {
 public:
  /// `first` is the identifier of the first question; different each time, so that a connection that was
  /// taken up again has nothing in common with the one before.
  explicit Transaction(std::uint16_t first) : next_{first} {}

  /// A question to `unit` with an identifier of its own; the one before is no longer waited for.
  [[nodiscard]] Adu ask(std::uint8_t unit, const pdu::Request& request);

  /// How `frame` stands to the question: nothing when it is an answer to another, or of another unit.
  /// An answer or an exception ends the question; the same frame a second time is another's.
  [[nodiscard]] std::optional<pdu::Match> hear(const Frame& frame);

  /// Gives the question up; its answer, should it come, is another's.
  void abandon() { open_ = false; }

  [[nodiscard]] bool open() const { return open_; }

 private:
  pdu::Request request_;
  std::uint16_t next_;
  std::uint16_t current_ = 0;
  std::uint8_t unit_ = 0;
  bool open_ = false;
};

}  // namespace protocol::mbap
