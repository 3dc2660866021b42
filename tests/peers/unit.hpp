#pragma once

#include <string>

#include <doctest/doctest.h>

#include "tests/support/run_program.hpp"

namespace tests::peers {

/// A simulated ticket machine at unit address 17 on a pseudo-terminal of its own, until this goes.
class Unit {
 public:
  static constexpr int kAddress = 17;
  static constexpr const char* kSerial = "ALDER-000017";

  Unit()
      : simulator_{{support::program_path("strapline-sim"),
                    {"ticket-machine", "--pty", link(), "--address", "17", "--serial", kSerial, "--catalog",
                     support::source_path("host/catalog")}}} {
    REQUIRE(simulator_.wait_for("ready"));
  }

  [[nodiscard]] std::string link() const { return folder_.path() + "/unit"; }

 private:
  support::TemporaryFolder folder_;
  support::Running simulator_;
};

}  // namespace tests::peers
