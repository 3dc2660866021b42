#pragma once

#include "host/link/cancel.hpp"

namespace host::cli {

/// While one of these lives, SIGINT, SIGTERM and SIGHUP cancel its token, and the command ends in order; a
/// second signal ends the program at once with 128 + signal. A signal that was ignored when the program
/// started (nohup) stays ignored. One at a time.
class SignalWatch {
 public:
  explicit SignalWatch(link::CancelToken& token);
  ~SignalWatch();
  SignalWatch(const SignalWatch&) = delete;
  SignalWatch& operator=(const SignalWatch&) = delete;
};

/// The signal that asked the command under way to end, or 0; 0 as well where nothing watches.
[[nodiscard]] int signal_asked();

}  // namespace host::cli
