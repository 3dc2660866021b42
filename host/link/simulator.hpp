#pragma once

#include <filesystem>
#include <string>

#include <sys/types.h>

#include "host/link/cancel.hpp"
#include "host/link/link_error.hpp"
#include "host/link/url.hpp"

namespace host::link {

/// A simulator started for one link, with a pseudo-terminal of its own. It dies with this process, whatever
/// ends that, and leaves nothing behind.
class Simulator {
 public:
  Simulator(Simulator&& other) noexcept;
  Simulator& operator=(Simulator&& other) noexcept;
  Simulator(const Simulator&) = delete;
  Simulator& operator=(const Simulator&) = delete;
  ~Simulator();

  /// Starts `strapline-sim KIT --pty LINKNAME …` and waits until LINKNAME is there, 5 s at most.
  /// The program is $STRAPLINE_SIM, else strapline-sim beside this program; LINKNAME is in a folder of its
  /// own under $XDG_RUNTIME_DIR, else $TMPDIR, else /tmp. A `catalog` that isn't empty is handed on.
  /// It starts with SIGTERM held, which comes when this process dies, and takes it when it can end in order.
  /// Errors   kProgramMissing (66); kSimulatorEnded with the simulator's last complaint and, where that was
  /// 64, 65
  ///          or 66 (unknown kit, bad strap), its exit code; kOutOfTime; kCancelled; kPortFailed.
  [[nodiscard]] static Result<Simulator> start(const SimLink& link, const std::filesystem::path& catalog,
                                               Deadline deadline, const CancelToken& cancel);

  /// The pseudo-terminal the simulated unit answers on.
  [[nodiscard]] std::string port() const { return (folder_ / "unit").string(); }

  [[nodiscard]] pid_t pid() const { return pid_; }

  /// Why the simulator is no longer there, if it ended by itself or does so within `patience`; else an empty
  /// text. A process closes its terminal a moment before it can be seen to have ended.
  [[nodiscard]] std::string why_ended(protocol::base::Duration patience = {});

  /// Ends the simulator by its pid, waits for it and removes its folder. Safe to call twice.
  void stop();

 private:
  Simulator() = default;
  [[nodiscard]] bool ended();
  [[nodiscard]] bool ends_within(protocol::base::Duration patience);
  [[nodiscard]] std::string last_words() const;
  [[nodiscard]] LinkError end_error(const std::string& kit);

  pid_t pid_ = -1;
  int status_ = 0;  // of waitpid, once pid_ is -1 again
  bool reaped_ = false;
  int errors_ = -1;  // a memory file that takes its stderr, so that nobody has to drain a pipe
  std::filesystem::path folder_;
};

}  // namespace host::link
