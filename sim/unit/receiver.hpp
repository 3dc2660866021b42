#pragma once

#include <cstdint>
#include <optional>

#include "host/model/board.hpp"
#include "host/model/timing.hpp"
#include "protocol/base/time.hpp"

namespace sim::unit {

/// The video receiver of the selected input: sees a source's cable, and holds lock on its timing when that is
/// in range. Locking takes kLockTime.
class Receiver {
 public:
  explicit Receiver(std::optional<host::model::Hertz> pixel_clock_max) : pixel_clock_max_{pixel_clock_max} {}

  static constexpr protocol::base::Duration kLockTime = protocol::base::milliseconds(150);

  /// Plugs a source in, changes what it sends, or unplugs it.
  void connect(const std::optional<host::model::Timing>& source, protocol::base::Instant now);

  /// When lock comes, if it is on its way.
  [[nodiscard]] std::optional<protocol::base::Instant> next() const { return locking_until_; }

  /// Takes note of the time. Returns whether lock came.
  bool run(protocol::base::Instant now);

  [[nodiscard]] bool cable() const { return source_.has_value(); }
  [[nodiscard]] bool locked() const { return locked_; }
  [[nodiscard]] std::uint16_t losses() const { return losses_; }

  /// What it counts of the source while it is locked. Precondition: locked().
  [[nodiscard]] const host::model::Timing& timing() const { return *source_; }

 private:
  [[nodiscard]] bool in_range() const;

  std::optional<host::model::Hertz> pixel_clock_max_;
  std::optional<host::model::Timing> source_;
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
  bool pll_locked = false;
};

/// Turns a source into the raster the straps select.
///
/// A source of that very raster passes with its own clock. Another is scaled to it at the source's refresh,
/// with 160 pixels and at least 460 us of blanking (VESA CVT 1.2, 5.4, reduced blanking, to the next 0.25
/// MHz). The clock loop locks when one channel's clock is within the transmitter's limit.
[[nodiscard]] LinkSignal link_signal(const host::model::Board::LinkOutput& output,
                                     const host::model::RasterRow& raster,
                                     std::optional<host::model::Mapping> mapping,
                                     const host::model::Timing& source);

}  // namespace sim::unit
