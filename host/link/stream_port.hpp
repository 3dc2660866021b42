#pragma once

#include <memory>
#include <string>

#include "host/link/endpoint.hpp"
#include "host/link/event_loop.hpp"
#include "host/link/port.hpp"

namespace host::link {

/// A serial device or a socket on the event loop: one read under way at all times, one timer.
class StreamPort final : public Port {
 public:
  /// Takes over `endpoint`. The loop may carry many ports; run_one() runs whatever of it comes next.
  /// Errors   kPortFailed if the system has no means left to wait for it.
  [[nodiscard]] static Result<std::unique_ptr<StreamPort>> over(std::shared_ptr<EventLoop> loop,
                                                                std::unique_ptr<Endpoint> endpoint);
  ~StreamPort() override;

  [[nodiscard]] const std::string& name() const override;
  [[nodiscard]] protocol::base::Instant now() const override;
  void set_listener(PortListener* listener) override;
  [[nodiscard]] Result<void> send(protocol::base::Octets octets) override;
  void wake_at(protocol::base::Instant at) override;
  [[nodiscard]] Result<void> run_one(const CancelToken& cancel) override;
  void close() override;

 private:
  struct State;
  StreamPort(std::shared_ptr<EventLoop> loop, std::shared_ptr<State> state);

  std::shared_ptr<EventLoop> loop_;  // goes after state_, which hangs on it
  std::shared_ptr<State> state_;     // kept alive by handlers that are still queued
};

}  // namespace host::link
