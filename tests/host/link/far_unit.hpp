#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "host/link/memory_port.hpp"
#include "protocol/rtu/line_timing.hpp"
#include "protocol/session/server.hpp"
#include "tests/host/link/known_device.hpp"

/// A unit at the far end of a MemoryPort, answered for by the protocol's server under the port's time.
class FarUnit {
 public:
  using Instant = protocol::base::Instant;
  using Octets = protocol::base::Octets;
  /// How an answer is put on the line; plain delivery by default.
  using Voice = std::function<void(host::link::MemoryPort& port, Octets answer, Instant now)>;

  FarUnit(host::link::MemoryPort& port, std::uint8_t address)
      : port_{port},
        server_{{address,
                 {port.near().baud, static_cast<std::uint8_t>(bits_per_character(port.near()))},
                 protocol::base::Duration{}},
                device} {
    port.set_hearer([this](Octets octets, bool damaged, Instant now) {
      if (damaged) {
        server_.damaged(now);
      } else {
        server_.received(octets, now);
      }
      turn(now);
    });
  }

  KnownDevice device;
  Voice voice = [](host::link::MemoryPort& port, Octets answer, Instant now) { port.deliver(answer, now); };
  int answers = 0;

 private:
  void turn(Instant now) {
    using Kind = protocol::session::Step::Kind;
    while (true) {
      const auto step = server_.step(now);
      if (step.kind == Kind::kSend) {
        ++answers;
        voice(port_, step.octets, now);
        continue;
      }
      if (step.kind == Kind::kWait && step.until != Instant::max()) {
        port_.schedule(step.until, [this](Instant later) { turn(later); });
      }
      return;
    }
  }

  host::link::MemoryPort& port_;
  protocol::session::Server server_;
};
