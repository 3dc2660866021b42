#pragma once

#include <span>
#include <string_view>

#include "tests/soak/verify_run.hpp"

namespace tests::soak {

/// A verify with one guard missing, and what it is then.
struct VerifyDefect {
  std::string_view name;
  std::string_view what;
  Around around;
};

/// The planted defects: each has verify see its link so that one of its guards finds nothing. Each must take
/// sets of readings that the unit never latched. All have a line that lets damage past the checksum, and so
/// has the first, which has every guard and must take none.
[[nodiscard]] std::span<const VerifyDefect> verify_defects();

}  // namespace tests::soak
