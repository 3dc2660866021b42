#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "sim/fault/fault.hpp"
#include "sim/unit/truth.hpp"

namespace sim::unit {

/// What is wrong with one unit, by kind, and how often each has mattered.
///
/// Whoever computes a part of the unit asks acts() exactly where a fault's parameter takes the place of the
/// healthy one and makes a difference; has() where that isn't decided yet.
class Wrongs {
 public:
  void add(const fault::Fault& fault);
  /// Returns whether it was there.
  bool remove(fault::Kind kind);

  [[nodiscard]] bool has(fault::Kind kind) const { return present_[index(kind)]; }

  /// It is there, and now makes a difference: counted.
  [[nodiscard]] bool acts(fault::Kind kind) const {
    if (!has(kind)) return false;
    ++hits_[index(kind)];
    return true;
  }
  /// Counts, where acts() could not be asked first.
  void count(fault::Kind kind) const {
    if (has(kind)) ++hits_[index(kind)];
  }

  /// The argument of a fault that is there.
  template <typename T>
  [[nodiscard]] const T& argument(fault::Kind kind) const {
    return std::get<T>(arguments_[index(kind)]);
  }
  [[nodiscard]] const fault::Argument& argument(fault::Kind kind) const { return arguments_[index(kind)]; }

  [[nodiscard]] std::vector<ActiveFault> list() const;
  [[nodiscard]] bool empty() const { return order_.empty(); }

 private:
  static std::size_t index(fault::Kind kind) { return static_cast<std::size_t>(kind); }

  std::array<bool, fault::kKindCount> present_{};
  std::array<fault::Argument, fault::kKindCount> arguments_{};
  mutable std::array<std::uint64_t, fault::kKindCount> hits_{};
  std::vector<fault::Kind> order_;  // as they came
};

}  // namespace sim::unit
