#pragma once

#include <optional>

#include "host/model/kit.hpp"
#include "protocol/base/time.hpp"
#include "sim/unit/wrongs.hpp"

namespace sim::unit {

/// Figures that no data sheet of a kit gives: what such supplies and boards usually have.
inline constexpr double kInputOhm = 0.015;       // input fuse, diode and wiring
inline constexpr double kInputFarad = 1e-3;      // hold-up behind them
inline constexpr double kOverload = 1.5;         // of the supply's rated current: above it, it shuts down
inline constexpr double kInputDestroyed = 1.25;  // of the board's highest input
inline constexpr protocol::base::Duration kSupplyRise = protocol::base::milliseconds(2);  // 0 to 100 %
inline constexpr protocol::base::Duration kHiccup = protocol::base::milliseconds(500);
inline constexpr protocol::base::Duration kDipPeriod = protocol::base::milliseconds(3'000);
inline constexpr protocol::base::Duration kDipLength = protocol::base::milliseconds(60);
inline constexpr double kDipDepth = 0.5;  // of the board's lowest input

/// The supply and the board's input: source voltage, fuse and diode as one resistance, hold-up capacitor.
///
/// The source rises in kSupplyRise. At constant power P the input stands at V = (Vs + sqrt(Vs^2 - 4 R P)) /
/// 2; while it rises, V = (that + R C / dt x V before) / (1 + R C / dt). When the source falls below the
/// capacitor the diode blocks and the loads drain it: V^2 falls by 2 P dt / C. More than kOverload of its
/// rated current for two steps on end makes the supply shut down and try again after kHiccup.
class Supply {
 public:
  Supply(const host::model::Kit& kit, double own_mv);

  /// The voltage without load; nothing: the supply's own.
  void set(std::optional<double> mv) { set_mv_ = mv; }

  /// Goes on by `step` up to `now`, with loads of `load_mw` behind the input.
  void advance(double load_mw, const Wrongs& wrongs, protocol::base::Instant now,
               protocol::base::Duration step);

  /// When it does something by itself.
  [[nodiscard]] std::optional<protocol::base::Instant> next(const Wrongs& wrongs,
                                                            protocol::base::Instant now) const;

  [[nodiscard]] double source_mv() const { return source_mv_; }
  [[nodiscard]] double input_mv() const { return input_mv_; }
  /// Current into the hold-up capacitor; below 0 when the loads drain it.
  [[nodiscard]] double capacitor_ma() const { return capacitor_ma_; }
  [[nodiscard]] bool blocked() const { return blocked_; }
  [[nodiscard]] bool destroyed() const { return destroyed_; }
  [[nodiscard]] bool moving() const { return moving_; }

 private:
  [[nodiscard]] double wanted_mv(const Wrongs& wrongs, protocol::base::Instant now) const;

  double own_mv_;
  double limit_ma_;
  double input_min_mv_, input_max_mv_;
  std::optional<double> set_mv_;
  std::optional<protocol::base::Instant> off_until_;
  int overloaded_steps_ = 0;
  double source_mv_ = 0, input_mv_ = 0, capacitor_ma_ = 0;
  bool blocked_ = false, destroyed_ = false, moving_ = false;
};

}  // namespace sim::unit
