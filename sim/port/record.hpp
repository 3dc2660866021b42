#pragma once

#include <optional>
#include <string>

#include "sim/port/options.hpp"
#include "sim/port/specimen.hpp"

namespace sim::port {

/// Writes what is really so, and what the eye sees, to files: whole, at once, and only when it has changed.
class Record {
 public:
  /// Paths; an empty one: not asked for.
  Record(std::string truth, std::string seen) : truth_path_{std::move(truth)}, seen_path_{std::move(seen)} {}

  /// Errors   73: a file can't be written.
  [[nodiscard]] std::optional<Ending> write(const Specimen& specimen);

 private:
  std::string truth_path_, seen_path_;
  std::string truth_;  // as it was written last
};

}  // namespace sim::port
