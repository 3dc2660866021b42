#pragma once

#include <iterator>
#include <map>

#include "host/model/quantity.hpp"

namespace host::expect {

/// What a curve over brightness gives, straight between its points; before the first and behind the last
/// point theirs. Rounded towards the point below. Precondition: the curve isn't empty.
template <typename Q>
[[nodiscard]] Q on_curve(const std::map<model::PartsPerMillion, Q>& curve,
                         model::PartsPerMillion brightness) {
  const auto above = curve.lower_bound(brightness);
  if (above == curve.end()) return std::prev(above)->second;
  if (above == curve.begin() || above->first == brightness) return above->second;
  const auto below = std::prev(above);
  const std::int64_t run = (above->first - below->first).count;
  const std::int64_t rise = (above->second - below->second).count;
  return {below->second.count + rise * (brightness - below->first).count / run};
}

}  // namespace host::expect
