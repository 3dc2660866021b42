#pragma once

#include <atomic>

#include "host/link/link_error.hpp"
#include "protocol/base/time.hpp"

namespace host::link {

/// One wish to stop, shared by everything that waits. A wait in progress ends at once, because its file
/// descriptor becomes readable; no thread is needed.
class CancelToken {
 public:
  CancelToken();
  ~CancelToken();
  CancelToken(const CancelToken&) = delete;
  CancelToken& operator=(const CancelToken&) = delete;

  /// Asks everything to stop. May be called from a signal handler, and more than once; the first signal
  /// counts. `signal` decides the exit code, 128 + signal.
  void cancel(int signal) noexcept;

  [[nodiscard]] bool cancelled() const noexcept { return signal() != 0; }

  /// The signal that asked first, or 0.
  [[nodiscard]] int signal() const noexcept { return signal_.load(std::memory_order_acquire); }

  /// Readable from the first cancel() on, for as long as the token lives; -1 if the system had none left.
  [[nodiscard]] int fd() const noexcept { return fd_; }

 private:
  static_assert(std::atomic<int>::is_always_lock_free, "a signal handler may not wait for a lock");
  std::atomic<int> signal_{0};
  int fd_;
};

/// When a whole command has to be over, on the clock of its port (for real ports, monotonic time).
struct Deadline {
  protocol::base::Instant at;

  /// `span` from now in monotonic time.
  [[nodiscard]] static Deadline after(protocol::base::Duration span);
};

/// Monotonic time as an Instant: the LinkClock of every real port.
[[nodiscard]] protocol::base::Instant monotonic_now();

/// The error of a wait that `cancel` ended: exit code 128 + its signal.
[[nodiscard]] LinkError cancelled_error(const CancelToken& cancel);

}  // namespace host::link
