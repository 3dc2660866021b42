#pragma once

#include <algorithm>
#include <cstdint>

#include <poll.h>
#include <unistd.h>

#include "host/link/cancel.hpp"
#include "protocol/session/server.hpp"
#include "tests/host/link/known_device.hpp"

/// Answers as a unit on the master end of a pseudo-terminal, in real time, until `stop` becomes readable, the
/// terminal fails, or `answers_max` answers were begun; the last of them breaks off in its middle.
inline void answer_on(int master, int stop, std::uint32_t answers_max) {
  using protocol::base::Instant;
  using Kind = protocol::session::Step::Kind;
  KnownDevice device;
  protocol::session::ServerSettings settings;
  settings.timing = {115200, 11};
  protocol::session::Server server{settings, device};
  std::uint32_t answers = 0;
  while (true) {
    const Instant now = host::link::monotonic_now();
    const auto step = server.step(now);
    if (step.kind == Kind::kSend) {
      const bool last = ++answers >= answers_max;
      if (::write(master, step.octets.data(), last ? step.octets.size() / 2 : step.octets.size()) < 0 ||
          last) {
        return;
      }
      continue;
    }
    int wait_ms = -1;
    if (step.kind == Kind::kWait && step.until != Instant::max()) {
      wait_ms = static_cast<int>(std::max<std::int64_t>(0, (step.until - now).count() / 1000 + 1));
    }
    pollfd ends[2]{{master, POLLIN, 0}, {stop, POLLIN, 0}};
    if (::poll(ends, 2, wait_ms) < 0 || ends[1].revents != 0) {
      return;
    }
    std::uint8_t octets[512];
    if (ends[0].revents != 0) {
      const ssize_t got = ::read(master, octets, sizeof octets);
      if (got <= 0) {
        return;
      }
      server.received({octets, static_cast<std::size_t>(got)}, host::link::monotonic_now());
    }
  }
}
