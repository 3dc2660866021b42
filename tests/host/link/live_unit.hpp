#pragma once

#include <csignal>
#include <cstdint>
#include <functional>
#include <limits>
#include <thread>
#include <utility>

#include "host/link/cancel.hpp"
#include "tests/host/link/pty.hpp"
#include "tests/host/link/pty_unit.hpp"

/// A pseudo-terminal whose far end is served in a thread of its own; when `serve` returns before `done` is,
/// the far end hangs up.
struct LiveUnit {
  using Serve = std::function<void(int master, const host::link::CancelToken& done)>;

  explicit LiveUnit(Serve serve)
      : thread{[this, served = std::move(serve)] {
          served(pty.master, done);
          if (!done.cancelled()) pty.hang_up();
        }} {}
  ~LiveUnit() {
    done.cancel(SIGTERM);
    thread.join();
  }
  LiveUnit(const LiveUnit&) = delete;
  LiveUnit& operator=(const LiveUnit&) = delete;

  Pty pty;
  host::link::CancelToken done;
  std::thread thread;
};

/// A unit that answers; the last of `answers_max` answers breaks off in its middle.
inline LiveUnit::Serve answering(std::uint32_t answers_max = std::numeric_limits<std::uint32_t>::max()) {
  return [answers_max](int master, const host::link::CancelToken& done) {
    answer_on(master, done.fd(), answers_max);
  };
}
