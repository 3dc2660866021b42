#pragma once

#include <cstdint>
#include <optional>

#include "host/model/board.hpp"
#include "host/model/timing.hpp"
#include "protocol/base/time.hpp"
#include "sim/unit/arriving.hpp"

namespace sim::unit {

/// The video receiver of the selected input: sees a source's cable, and holds lock on its timing when that is
/// in range. Locking takes kLockTime.
class Receiver {
 public:
  static constexpr protocol::base::Duration kLockTime = protocol::base::milliseconds(150);

  /// What comes in at the selected input, and the highest clock that input takes. The same again changes
  /// nothing. Returns whether lock was lost by it.
  bool connect(const Arriving& in, std::optional<host::model::Hertz> pixel_clock_max,
               protocol::base::Instant now);
  /// Its supply has gone or come back: forgets everything, losses too.
  void restart() { *this = Receiver{}; }

  /// When lock comes, if it is on its way.
  [[nodiscard]] std::optional<protocol::base::Instant> next() const { return locking_until_; }

  /// Takes note of the time. Returns whether lock came.
  bool run(protocol::base::Instant now);

  [[nodiscard]] const Arriving& in() const { return in_; }
  [[nodiscard]] bool locked() const { return locked_; }
  [[nodiscard]] std::uint16_t losses() const { return losses_; }

  /// What it counts of the source while it is locked. Precondition: locked().
  [[nodiscard]] const host::model::Timing& timing() const { return *in_.timing; }

 private:
  [[nodiscard]] bool in_range() const;

  std::optional<host::model::Hertz> pixel_clock_max_;
  Arriving in_;
  std::optional<protocol::base::Instant> locking_until_;
  std::uint16_t losses_ = 0;
  bool locked_ = false;
};

/// What the scaler sends to the panel's link transmitter.
struct LinkSignal {
  int channels = 0;
  int bits = 0;
  std::optional<host::model::Mapping> mapping;  // nothing: its strap is undefined
  host::model::RasterRow raster;
  host::model::Hertz pixel_clock;  // all channels together
  host::model::Timing frames;      // what it was made from: the source's timing, or the board's own
  bool pll_locked = false;
};

/// Turns a source, or the board's own frames, into the raster the straps select.
///
/// A source of that very raster passes with its own clock. Another is scaled to it at the source's refresh,
/// with 160 pixels and at least 460 us of blanking (VESA CVT 1.2, 5.4, reduced blanking, to the next 0.25
/// MHz). The clock loop locks when one channel's clock is within the transmitter's limit.
[[nodiscard]] LinkSignal link_signal(const host::model::Board::LinkOutput& output,
                                     const host::model::RasterRow& raster,
                                     std::optional<host::model::Mapping> mapping,
                                     const host::model::Timing& source);

}  // namespace sim::unit
