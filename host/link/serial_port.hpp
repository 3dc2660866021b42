#pragma once

#include <memory>
#include <string>

#include "host/link/event_loop.hpp"
#include "host/link/port.hpp"
#include "host/link/serial_handle.hpp"

namespace host::link {

/// A serial device or pseudo-terminal on the event loop: one read under way at all times, one timer.
class SerialPort final : public Port {
 public:
  /// Takes over `handle`. The loop may carry many ports; run_one() runs whatever of it comes next.
  /// Errors   port_failed if the system has no means left to wait for it.
  [[nodiscard]] static Result<std::unique_ptr<SerialPort>> over(std::shared_ptr<EventLoop> loop,
                                                                SerialHandle handle);
  ~SerialPort() override;

  [[nodiscard]] const std::string& name() const override;
  [[nodiscard]] protocol::base::Instant now() const override;
  void set_listener(PortListener* listener) override;
  [[nodiscard]] Result<void> send(protocol::base::Octets octets) override;
  void wake_at(protocol::base::Instant at) override;
  [[nodiscard]] Result<void> run_one(const CancelToken& cancel) override;
  void close() override;

 private:
  struct State;
  SerialPort(std::shared_ptr<EventLoop> loop, std::shared_ptr<State> state);

  std::shared_ptr<EventLoop> loop_;  // goes after state_, which hangs on it
  std::shared_ptr<State> state_;     // kept alive by handlers that are still queued
};

}  // namespace host::link
