#pragma once

#include "host/model/quantity.hpp"

namespace host::model {

enum class Polarity { kNegative, kPositive };  // the order of the choices of input.h_polarity

/// A raster in time. Totals = active + front + sync + back.
struct Timing {
  Hertz pixel_clock;
  Pixels h_active, h_front, h_sync, h_back;
  Pixels v_active, v_front, v_sync, v_back;
  Polarity h_polarity = Polarity::kPositive;
  Polarity v_polarity = Polarity::kPositive;
  bool interlaced = false;

  [[nodiscard]] constexpr Pixels h_total() const { return h_active + h_front + h_sync + h_back; }
  [[nodiscard]] constexpr Pixels v_total() const { return v_active + v_front + v_sync + v_back; }

  /// Frames a second: pixel clock / (h_total x v_total), rounded to the nearest millihertz; 0 for an empty
  /// raster.
  [[nodiscard]] constexpr Millihertz refresh() const {
    const std::int64_t dots = h_total().count * v_total().count;
    return {dots == 0 ? 0 : (pixel_clock.count * 1000 + dots / 2) / dots};
  }
  friend constexpr bool operator==(const Timing&, const Timing&) = default;
};

}  // namespace host::model
