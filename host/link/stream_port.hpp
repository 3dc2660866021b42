#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <vector>

#include "host/link/endpoint.hpp"
#include "host/link/port.hpp"

namespace host::link {

/// A serial device or a socket. One wait, one read and one write carry an exchange, and one wait more its
/// silence: no timer, no queue and no read that finds nothing in between. A socket's read is the wait as
/// well, unless the answer is slow to come.
class StreamPort final : public Port {
 public:
  /// Takes over `endpoint`.
  explicit StreamPort(std::unique_ptr<Endpoint> endpoint);
  ~StreamPort() override;

  [[nodiscard]] const std::string& name() const override;
  [[nodiscard]] protocol::base::Instant now() const override;
  void set_listener(PortListener* listener) override { listener_ = listener; }
  [[nodiscard]] Result<void> send(protocol::base::Octets octets) override;
  void wake_at(protocol::base::Instant at) override { wake_ = at; }
  void rest_until(protocol::base::Instant at) override { rest_ = at; }
  [[nodiscard]] Result<void> run_one(const CancelToken& cancel) override;
  [[nodiscard]] std::optional<LineCounters> line_counters() const override {
    return endpoint_->line_counters();
  }
  void close() override;

 private:
  [[nodiscard]] bool rested(const CancelToken& cancel);
  [[nodiscard]] bool read();
  [[nodiscard]] bool reads_in_time() const;
  void write_rest();
  void rung();
  void hand_over(const ParityMarks::Sound& sound, protocol::base::Instant now);
  void tell_octets(protocol::base::Octets octets, protocol::base::Instant now);
  [[nodiscard]] LinkError error_of(const std::error_code& error) const;
  void lose(const std::error_code& error);
  void shut();

  std::unique_ptr<Endpoint> endpoint_;
  PortListener* listener_ = nullptr;
  std::array<std::uint8_t, 1024> incoming_{};
  std::vector<std::uint8_t> outgoing_;  // what the driver had no room for
  bool open_ = true;
  std::optional<protocol::base::Instant> wake_;  // when the listener wants to be woken
  std::optional<protocol::base::Instant> rest_;  // until when nothing that comes matters
};

}  // namespace host::link
