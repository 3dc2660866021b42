#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>
#include <thread>
#include <vector>

#include "tests/e2e/pty.hpp"
#include "tests/support/run_program.hpp"

namespace tests::e2e {

using Frame = std::vector<std::uint8_t>;

/// What a line makes of one answer, the `number`th since it was laid, from 0.
using Mangling = std::function<std::vector<Frame>(const Frame& answer, int number)>;

/// A simulated unit of `kit` behind a line that mangles what it answers. Requests pass unharmed; answers are
/// taken apart by the silence between them.
class Relay {
 public:
  Relay(const std::string& kit, Mangling mangle);
  ~Relay();
  Relay(const Relay&) = delete;
  Relay& operator=(const Relay&) = delete;

  [[nodiscard]] std::string link() const { return near_.link(); }

  /// Answers the unit has given so far.
  [[nodiscard]] int answers() const { return answers_; }

 private:
  void carry(int unit);

  Mangling mangle_;
  Pty near_;
  support::TemporaryFolder folder_;
  support::Running simulator_;
  std::atomic<bool> stop_{false};
  std::atomic<int> answers_{0};
  std::thread carrier_;
};

/// `frame` with its CRC made right again.
[[nodiscard]] Frame sealed(Frame frame);

}  // namespace tests::e2e
