#pragma once

#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "tests/support/run_program.hpp"

namespace tests::e2e {

/// A simulator by itself, until this goes.
class Simulated {
 public:
  Simulated(const std::string& kit, const std::vector<std::string>& more) : simulator_{launch(kit, more)} {
    REQUIRE(simulator_.wait_for("ready: "));
  }

  /// The link of its first port.
  [[nodiscard]] std::string link() {
    const std::string& said = simulator_.err();
    const std::size_t at = said.find("ready: ") + 7;
    return said.substr(at, said.find('\n', at) - at);
  }

 private:
  static support::Launch launch(const std::string& kit, const std::vector<std::string>& more) {
    support::Launch simulator;
    simulator.program = support::program_path("strapline-sim");
    simulator.arguments = {kit, "--catalog", support::source_path("host/catalog")};
    simulator.arguments.insert(simulator.arguments.end(), more.begin(), more.end());
    return simulator;
  }

  support::Running simulator_;
};

}  // namespace tests::e2e
