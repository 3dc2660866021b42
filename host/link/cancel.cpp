#include "host/link/cancel.hpp"

#include <cerrno>
#include <chrono>
#include <cstdint>

#include <sys/eventfd.h>
#include <unistd.h>

namespace host::link {

CancelToken::CancelToken() : fd_{::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK)} {}

CancelToken::~CancelToken() {
  if (fd_ >= 0) {
    (void)::close(fd_);
  }
}

void CancelToken::cancel(int signal) noexcept {
  const int interrupted_errno = errno;
  int none = 0;
  signal_.compare_exchange_strong(none, signal, std::memory_order_acq_rel);
  const std::uint64_t one = 1;
  (void)!::write(fd_, &one, sizeof one);
  errno = interrupted_errno;
}

protocol::base::Instant monotonic_now() {
  const auto since = std::chrono::steady_clock::now().time_since_epoch();
  return protocol::base::Instant{std::chrono::duration_cast<protocol::base::Duration>(since)};
}

Deadline Deadline::after(protocol::base::Duration span) {
  return Deadline{monotonic_now() + span};
}

LinkError cancelled_error(const CancelToken& cancel) {
  LinkError error = link_error(Fault::kCancelled, "stopped on request", "run the command again");
  error.exit_code = 128 + cancel.signal();
  return error;
}

}  // namespace host::link
