#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "host/link/cancel.hpp"
#include "host/link/port.hpp"
#include "host/link/transport.hpp"
#include "protocol/mbap/decoder.hpp"
#include "protocol/mbap/transaction.hpp"
#include "protocol/pdu/request.hpp"
#include "protocol/pdu/response.hpp"
#include "protocol/rtu/line_timing.hpp"

namespace host::link {

/// What came of one question.
struct Heard {
  std::optional<protocol::pdu::Response> answer;  ///< the first; an exception too
  std::optional<protocol::pdu::Response> other;   ///< a sound answer that says something else
  bool refused = false;                           ///< the first answer is an exception
  bool asked = false;                             ///< the line was quiet, so the question went out
  unsigned answers = 0;                           ///< sound ones, all of this question
  bool noisy = false;  ///< a damaged character came, or octets but our echo and no sound answer of this unit
  protocol::base::Duration took{};  ///< from the last octet sent to the first answer, or to the end
};

/// What to do once an answer has come.
enum class Then : std::uint8_t {
  kGoOn,
  kHearOthers,  ///< who else has this address answers in the time that every unit is given
};

/// Asks one question at a time, once, of any unit: what a search needs and a session is too careful for. An
/// answer counts with its unit's address, its function and exact length and a right CRC, or its transaction;
/// an answer that comes late has another address, or is waited out by the next silence.
class Asker final : public PortListener {
 public:
  Asker(Transport& way, Deadline deadline, const CancelToken& cancel);
  ~Asker() override;
  Asker(const Asker&) = delete;
  Asker& operator=(const Asker&) = delete;

  /// Hears the line for `span` without a word. Returns  the first octets heard; empty if it was quiet.
  /// Errors   kGone, kOutOfTime, kCancelled.
  [[nodiscard]] Result<std::vector<std::uint8_t>> listen(protocol::base::Duration span);

  /// Waits for the line to be quiet, asks, and waits for `patience` beyond the time on the wire. A gateway
  /// hands on one answer, so over Modbus/TCP nobody else is heard. On a line that isn't quiet within 300 ms
  /// nothing is said; what came of that is noisy.
  /// Errors   kGone, kPortFailed, kOutOfTime, kCancelled. Silence is none.
  [[nodiscard]] Result<Heard> ask(std::uint8_t unit, const protocol::pdu::Request& request,
                                  protocol::base::Duration patience, Then then = Then::kGoOn);

  void octets_arrived(protocol::base::Octets octets, protocol::base::Instant now) override;
  void octet_damaged(protocol::base::Instant now) override;
  void woken(protocol::base::Instant now) override;
  void lost(const LinkError& error) override;

 private:
  [[nodiscard]] Result<void> wait_until(protocol::base::Instant at);
  [[nodiscard]] Result<bool> quiet(protocol::rtu::LineTiming timing);
  void take(std::uint8_t unit, const protocol::pdu::Request& request, Heard& heard);
  [[nodiscard]] bool take_one(std::uint8_t unit, const protocol::pdu::Request& request, Heard& heard);
  void take_mbap(Heard& heard);

  Transport& way_;
  Deadline deadline_;
  const CancelToken& cancel_;
  protocol::mbap::Transaction transaction_;
  protocol::mbap::Decoder decoder_;
  std::vector<std::uint8_t> held_;
  std::size_t taken_ = 0;  // of them, echo and answers at their head
  std::size_t damaged_ = 0;
  protocol::base::Instant last_octet_{};
  std::optional<LinkError> lost_;
};

}  // namespace host::link
