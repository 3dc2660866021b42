#pragma once

#include <optional>

#include "protocol/base/time.hpp"

namespace sim::unit {

/// Figures that no data sheet of a kit gives: what such boards usually have.
inline constexpr double kSwitchOhm = 0.025;  // fuse and switch of a rail
inline constexpr double kTripOver = 1.5;     // of the rail's highest current: above it the switch folds back
inline constexpr double kFoldBack = 0.3;     // of the current it tripped at
inline constexpr protocol::base::Duration kSoftStart = protocol::base::milliseconds(3);  // 0 to 100 %
inline constexpr protocol::base::Duration kDischarge = protocol::base::milliseconds(5);  // time constant

/// One output of the board: fuse, switch with soft start and fold-back, the capacitor behind it, and what
/// bleeds it when it is off.
///
/// On, it rises at source / kSoftStart to source - I x kSwitchOhm. A load above what the source gives takes
/// it down to source x limit / load. A short R holds it at kFoldBack x trip x R. Off, it falls with
/// kDischarge, or faster where the load draws more than that.
class SwitchedRail {
 public:
  struct Conditions {
    double source_mv = 0;  // ahead of the switch
    bool on = false;
    double load_ma = 0;
    std::optional<double> limit_ma{};   // of the source
    std::optional<double> short_ohm{};  // to ground behind the switch
    double trip_ma = 0;                 // 0: none
  };

  explicit SwitchedRail(double farad) : farad_{farad} {}
  void advance(const Conditions& conditions, protocol::base::Duration step);

  [[nodiscard]] double out_mv() const { return out_mv_; }
  [[nodiscard]] double target_mv() const { return target_mv_; }
  [[nodiscard]] double farad() const { return farad_; }
  // Currents of the last step. Through the switch: load + short + capacitor + bleed.
  [[nodiscard]] double switch_ma() const { return load_ma_ + short_ma_ + capacitor_ma_ + bleed_ma_; }
  [[nodiscard]] double load_ma() const { return load_ma_; }
  [[nodiscard]] double short_ma() const { return short_ma_; }
  [[nodiscard]] double capacitor_ma() const { return capacitor_ma_; }
  [[nodiscard]] double bleed_ma() const { return bleed_ma_; }
  /// It holds back a current above its trip.
  [[nodiscard]] bool folded() const { return folded_; }
  /// Its source can't give what the load wants.
  [[nodiscard]] bool starved() const { return starved_; }

 private:
  double farad_;
  double out_mv_ = 0, target_mv_ = 0;
  double load_ma_ = 0, short_ma_ = 0, capacitor_ma_ = 0, bleed_ma_ = 0;
  bool folded_ = false, starved_ = false;
};

}  // namespace sim::unit
