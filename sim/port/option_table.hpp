#pragma once

#include <span>
#include <string_view>

namespace sim::port {

/// One option of strapline-sim: parser and help read the same table.
struct OptionSpec {
  std::string_view name;      // "--pty"
  std::string_view argument;  // "LINKNAME"; empty: a switch
  std::string_view preset;    // what holds where it isn't given; empty: nothing
  std::string_view help;
  bool repeatable = false;
};

/// A heading and the options below it.
struct OptionGroup {
  std::string_view title;
  std::span<const OptionSpec> options;
};

[[nodiscard]] std::span<const OptionGroup> option_groups();

}  // namespace sim::port
