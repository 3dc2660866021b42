#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "sim/eye/watch.hpp"

namespace sim::script {

/// What a person in front of a unit sees, in the words of sim/eye.
using Eye = eye::Seen;

/// What is really so, whatever the unit says of itself.
struct Truth {
  std::vector<std::pair<std::string, std::string>> straps;  // id and position, in the board's order
  /// As they were asked for, "supply-low=10 V", and how often each has made a difference.
  std::vector<std::pair<std::string, std::uint64_t>> faults;
  Eye eye;
  std::vector<std::string> damaged;  // parts that no mending brings back
};

/// One JSON document in one line, schema "strapline/truth/1":
/// {"schema","straps":{"BR1":"1-2",…},"faults":[…],"hits":{"supply-low=10 V":3,…},
/// "screen","look":[…],"when","damaged":[…]}.
[[nodiscard]] std::string to_json(const Truth& truth);

}  // namespace sim::script
