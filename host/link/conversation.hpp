#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "host/link/cancel.hpp"
#include "host/link/dialogue.hpp"
#include "host/link/line_settings.hpp"
#include "host/link/link_error.hpp"
#include "host/link/port.hpp"
#include "host/link/transport.hpp"
#include "protocol/pdu/request.hpp"
#include "protocol/pdu/response.hpp"
#include "protocol/rtu/line_timing.hpp"
#include "protocol/session/client.hpp"

namespace host::link {

/// Drives the protocol's client over a port: the client says what to send and how long to wait, the port does
/// it, and this class stops both at the deadline or on request. Every wait of a session is here.
class Conversation final : public PortListener {
 public:
  Conversation(Transport transport, const protocol::session::ClientSettings& settings, Deadline deadline,
               const CancelToken& cancel);
  ~Conversation() override;
  Conversation(const Conversation&) = delete;
  Conversation& operator=(const Conversation&) = delete;

  /// Hears the line for `span` without a word of our own.
  /// Errors   kForeignTraffic if anything was heard, damaged or not; kGone, kOutOfTime, kCancelled.
  [[nodiscard]] Result<void> listen(protocol::base::Duration span);

  /// The first exchange: does the line echo, is it free of old answers, does the unit answer.
  [[nodiscard]] Result<void> begin();

  /// One request and its answer.
  [[nodiscard]] Result<protocol::pdu::Response> ask(const protocol::pdu::Request& request);

  /// One write to every unit, which none answers. Errors   those of ask(), but for what answers are;
  /// kNotAvailable where the framing has no broadcast.
  [[nodiscard]] Result<void> broadcast(const protocol::pdu::Request& request);

  /// Gives the port back; nothing can be asked any more.
  void close();

  [[nodiscard]] const Port& port() const { return *way_.port; }
  [[nodiscard]] const Transport& way() const { return way_; }

  /// For who asks a question of its own over this port, after one of ours has failed: what came meanwhile is
  /// not ours, and our next question begins with a fence. Hand it back with resume().
  [[nodiscard]] Transport& lent() { return way_; }
  void resume() { way_.port->set_listener(this); }
  [[nodiscard]] const protocol::session::Statistics& statistics() const { return client_->statistics(); }

  void octets_arrived(protocol::base::Octets octets, protocol::base::Instant now) override;
  void octet_damaged(protocol::base::Instant now) override;
  void woken(protocol::base::Instant now) override;
  void lost(const LinkError& error) override;

 private:
  [[nodiscard]] Result<protocol::pdu::Response> run();
  [[nodiscard]] Result<void> wait_until(protocol::base::Instant at, protocol::base::Instant now);
  [[nodiscard]] protocol::rtu::LineTiming timing() const;
  void rest();
  void rest_for_answer();
  void learn();
  void abandon();
  [[nodiscard]] LinkError with_place(LinkError error) const;
  [[nodiscard]] LinkError out_of_time() const;
  [[nodiscard]] LinkError explained(const protocol::session::Failure& failure) const;

  Transport way_;
  std::uint8_t unit_address_;
  std::unique_ptr<Dialogue> client_;
  Deadline deadline_;
  const CancelToken& cancel_;
  bool listening_ = false;
  std::vector<std::uint8_t> heard_;  // while listening, its first octets
  std::size_t heard_count_ = 0;
  std::optional<LinkError> lost_;
  std::optional<std::uint16_t> register_address_;  // of the request under way
  protocol::base::Instant asked_at_{};

  // What was sent last, and what came since.
  protocol::base::Instant sent_at_{};
  protocol::base::Instant came_at_{};
  std::size_t sent_ = 0;
  std::size_t due_ = 0;  // octets of its answer, where they are known beforehand
  std::size_t came_ = 0;
  std::array<std::uint8_t, 8> head_{};  // its first octets
  std::optional<protocol::base::Duration> beyond_wire_;
};

/// What a link is, for the remedies that fit it.
enum class Medium : std::uint8_t { kSerial, kRtuOverTcp, kModbusTcp };

/// The failure of a request in words: what was asked of whom, how, and what came back. `place` is the port
/// with its line's settings: "/dev/ttyUSB0 at 19200 Bd 8E1".
[[nodiscard]] LinkError to_link_error(const protocol::session::Failure& failure, std::uint8_t unit_address,
                                      const std::string& place, Medium medium);

/// The place of `way`, as to_link_error() takes it.
[[nodiscard]] std::string place_of(const Transport& way);

}  // namespace host::link
