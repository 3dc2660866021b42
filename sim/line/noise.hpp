#pragma once

#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "protocol/base/time.hpp"

namespace sim::line {

/// What a bad line does. Nothing by default.
struct Noise {
  double bit_errors = 0;             // probability of each bit, both ways
  double drop = 0;                   // probability that an answer is lost whole
  double doubled = 0;                // probability that an answer comes twice
  protocol::base::Duration delay{};  // of every answer
  protocol::base::Duration
      latency{};      // the host's adapter hands on what it holds this long after its first octet
  bool echo = false;  // the host hears what it sends, as on RS-485 with its receiver left on
};

/// Reads "ber=1e-5,drop=0.01,double=0.05,delay=20 ms,latency=16 ms,echo", any of them in any order.
/// Errors   one sentence that says what would be right.
[[nodiscard]] tl::expected<Noise, std::string> parse_noise(std::string_view text);

}  // namespace sim::line
