#include "host/signal/timing_table.hpp"

namespace host::signal {

model::Timing to_timing(const StandardTiming& row) {
  model::Timing timing;
  timing.pixel_clock = {std::int64_t{row.pixel_clock_khz} * 1000};
  timing.h_active = {row.h_active};
  timing.h_front = {row.h_front};
  timing.h_sync = {row.h_sync};
  timing.h_back = {row.h_back};
  timing.v_active = {row.v_active};
  timing.v_front = {row.v_front};
  timing.v_sync = {row.v_sync};
  timing.v_back = {row.v_back};
  timing.h_polarity = row.h_polarity;
  timing.v_polarity = row.v_polarity;
  timing.interlaced = row.interlaced;
  return timing;
}

}  // namespace host::signal
