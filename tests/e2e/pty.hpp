#pragma once

#include <chrono>
#include <string>
#include <vector>

#include <sys/types.h>

namespace tests::e2e {

/// A pseudo-terminal whose far end the test holds. Raw, and open at both ends, so that programs may come and
/// go.
class Pty {
 public:
  Pty();
  ~Pty();
  Pty(const Pty&) = delete;
  Pty& operator=(const Pty&) = delete;

  [[nodiscard]] int far_end() const { return master_; }
  [[nodiscard]] int near_end() const { return slave_; }
  [[nodiscard]] const std::string& path() const { return path_; }

  /// A link to it on which nobody is listened for before the first word.
  [[nodiscard]] std::string link() const { return "serial:" + path_ + "?own=yes"; }

  /// Waits until somebody has written to the near end. False after `limit`.
  [[nodiscard]] bool heard_within(std::chrono::milliseconds limit) const;

 private:
  int master_ = -1;
  int slave_ = -1;
  std::string path_;
};

/// The terminal settings of `descriptor` as octets, to compare before and after.
[[nodiscard]] std::vector<unsigned char> settings_of(int descriptor);

}  // namespace tests::e2e
