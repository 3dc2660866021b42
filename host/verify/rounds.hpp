#pragma once

#include <map>

#include "host/link/link_error.hpp"
#include "host/verify/reader.hpp"
#include "host/verify/snapshot.hpp"
#include "protocol/points/point.hpp"
#include "protocol/points/reading.hpp"

namespace host::verify {

using Points = std::map<protocol::points::Point, protocol::points::Reading>;

/// A unit whose points are read where they change.
class PointSource {
 public:
  PointSource() = default;
  virtual ~PointSource() = default;
  PointSource(const PointSource&) = delete;
  PointSource& operator=(const PointSource&) = delete;

  /// Every point the unit has. Errors   as Reader, but for kRefused.
  [[nodiscard]] virtual link::Result<Points> read_all() = 0;

  /// Those that tell whether anything happened meanwhile, of snapshot.boot, .uptime_s and .changes; none
  /// where the unit has none. Errors   as read_all().
  [[nodiscard]] virtual link::Result<Points> read_bracket() = 0;
};

/// Reads a unit that has no latch into `snapshot`: its points and their consistency. `bracketed` when the
/// change counter was the same before and after and the unit didn't start anew between (by its boot number,
/// else by its uptime); `loose` when it tells neither and two rounds agreed; else `torn`. On a line that has
/// shown a bad frame `bracketed` needs two rounds that agree, too.
///
/// Errors   as PointSource.
[[nodiscard]] link::Result<void> read_in_rounds(Reader& reader, PointSource& source, Snapshot& snapshot);

}  // namespace host::verify
