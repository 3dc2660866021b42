#pragma once

#include <doctest/doctest.h>

#include "protocol/session/server.hpp"
#include "tests/protocol/session/example_device.hpp"
#include "tests/protocol/session/talk.hpp"

namespace tests::session {

/// A server at unit address 17, 115200 Bd, and the time on its line.
struct Bench {
  ExampleDevice device;
  protocol::session::Server server{{Talk::kUnit, {115200, 10}, {}}, device};
  Instant now{milliseconds(1000)};

  void hears(const Bytes& octets, Duration later = microseconds(90)) {
    now += later;
    server.received(octets, now);
  }

  /// Lets time pass until the server answers, or has nothing more to do.
  Bytes answers() {
    for (;;) {
      const Step step = server.step(now);
      if (step.kind == Step::Kind::kIdle) return {};
      if (step.kind == Step::Kind::kSend) return {step.octets.begin(), step.octets.end()};
      REQUIRE(step.kind == Step::Kind::kWait);
      REQUIRE(step.until > now);
      now = step.until;
    }
  }

  Bytes exchange(const Bytes& request) {
    hears(request, milliseconds(5));
    return answers();
  }
};

inline const Bytes kRead = sealed(Talk::kUnit, {0x03, 0, 0x6B, 0, 3});

}  // namespace tests::session
