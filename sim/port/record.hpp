#pragma once

#include <optional>
#include <string>

#include "sim/port/options.hpp"
#include "sim/port/specimen.hpp"

namespace sim::port {

/// Writes what is really so, and a picture of what the eye sees, to files, each whole and at once.
class Record {
 public:
  /// Paths; an empty one: not asked for.
  Record(std::string truth, std::string seen) : truth_path_{std::move(truth)}, seen_path_{std::move(seen)} {}

  /// What is really so, if it has changed since it was written last. Errors   73: the file can't be written.
  [[nodiscard]] std::optional<Ending> write(const Specimen& specimen);

  /// The picture as it is now, if it was asked for: a PNG of the size of the panel. Errors   73: the file
  /// can't be written.
  [[nodiscard]] std::optional<Ending> draw(const Specimen& specimen) const;

 private:
  std::string truth_path_, seen_path_;
  std::string truth_;  // as it was written last
};

}  // namespace sim::port
