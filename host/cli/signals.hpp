#pragma once

#include <cstddef>
#include <string>

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

/// A file of ours that is to go again: with this object, and by whichever signal ends the program before. One
/// that has been renamed by then stays. Of more than 32 at once the rest is left by a signal.
class PassingFile {
 public:
  /// `path` is there already.
  explicit PassingFile(std::string path);
  ~PassingFile();
  PassingFile(const PassingFile&) = delete;
  PassingFile& operator=(const PassingFile&) = delete;

  [[nodiscard]] const std::string& path() const { return path_; }

 private:
  std::string path_;
  std::size_t slot_ = 0;
};

/// The signal that asked the command under way to end, or 0; 0 as well where nothing watches.
[[nodiscard]] int signal_asked();

}  // namespace host::cli
