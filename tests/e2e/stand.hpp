#pragma once

#include <string>
#include <vector>

#include "tests/e2e/watched.hpp"
#include "tests/support/run_program.hpp"

namespace tests::e2e {

enum class Built { kRight, kWrong };
enum class Way { kSerial, kTcp, kSimulator };

/// Units to verify, one for each lane of run_all(). One built wrong has its panel's supply strapped to 5 V
/// instead of 3.3 V.
class Stand {
 public:
  explicit Stand(Built built);

  [[nodiscard]] Built built() const { return built_; }

  /// A verify that is to end within its own 2 s, by far.
  [[nodiscard]] support::Launch verify(Way way, std::size_t lane) const;

  /// Where the units' ports are, and what a simulator that verify starts keeps unless told otherwise.
  [[nodiscard]] const std::string& folder() const { return folder_.path(); }

 private:
  Built built_;
  support::TemporaryFolder folder_;
  support::Running running_;
  std::string tcp_;
};

/// Whether at calls[at] the program looks once more whether the simulator is there, as it did twice before.
[[nodiscard]] bool waits_on(const std::vector<Call>& calls, std::size_t at);

}  // namespace tests::e2e
