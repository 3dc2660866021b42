#pragma once

#include <array>
#include <map>
#include <optional>
#include <vector>

#include "sim/eye/judge.hpp"

namespace sim::eye {

/// What most pixels of each wanted colour became, taken where three neighbours should be alike.
class Fates {
 public:
  /// Of columns x with x mod `channels` = `channel`; of all columns with `channels` 1.
  Fates(const std::vector<LinePair>& lines, int channels, int channel);

  [[nodiscard]] std::optional<host::signal::card::Rgb> of(host::signal::card::Rgb wanted) const;

  /// What became of a grey, by its level.
  struct Grey {
    int level = 0;
    std::array<int, 3> became{};  // red, green, blue
  };
  [[nodiscard]] std::vector<Grey> greys() const;

  struct Colour {
    host::signal::card::Rgb wanted, became;
  };
  /// Those that are no greys.
  [[nodiscard]] std::vector<Colour> colours() const;

  /// Pixels counted, and those that fared otherwise than most of their like and than those beside them: by
  /// chance, where whole lines or fields fare otherwise by a rule.
  [[nodiscard]] std::size_t counted() const { return counted_; }
  [[nodiscard]] std::size_t astray() const { return astray_; }

 private:
  struct Vote {
    host::signal::card::Rgb leader;
    int lead = 0;
  };
  std::map<std::uint32_t, Vote> votes_;
  std::size_t counted_ = 0, astray_ = 0;
};

}  // namespace sim::eye
