#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "host/link/cancel.hpp"
#include "host/link/line_settings.hpp"
#include "host/link/link_error.hpp"
#include "host/link/scan/searched_line.hpp"
#include "host/link/scan/unit_identity.hpp"
#include "host/link/trace/writer.hpp"
#include "host/link/transport.hpp"
#include "host/link/url.hpp"

namespace host::link::scan {

struct ScanOptions {
  std::uint8_t first_address = 1;  ///< 1..247
  std::uint8_t last_address = 247;
  bool share = false;  ///< talk although somebody else does
  protocol::base::Duration listen_for = protocol::base::milliseconds(1000);
  std::filesystem::path catalog;  ///< where a simulator finds its kits
  trace::Writer* trace = nullptr;
  /// Told before each question, for a line on the terminal; may be empty.
  std::function<void(const std::string& place, unsigned address)> progress;
};

struct FoundUnit {
  std::string link;  ///< by which a command talks to it: "serial:/dev/ttyUSB0?baud=115200&parity=even&stop=1"
  std::string place;  ///< "/dev/ttyUSB0 at 115200 Bd 8E1"
  std::uint8_t address = 1;
  UnitIdentity identity;
  protocol::base::Duration answered_in{};  ///< beyond its octets' time on the wire
};

/// What was asked at one setting of a line.
struct Tried {
  std::string place;
  std::uint32_t questions = 0;
  std::uint8_t lowest = 0, highest = 0;  ///< addresses asked; all between were
  bool noise = false;                    ///< something came that was no answer
  std::optional<LineCounters>
      counted;  ///< wrong characters, by the port's driver; nothing if it doesn't count
};

struct ScanResult {
  std::vector<FoundUnit> units;
  std::vector<Tried> tried;
  /// Why the search of this link ended before everything was tried; nothing if it didn't.
  std::optional<LinkError> ended;
};

/// Searches one link: listens, then asks with read functions only. In this order, until somebody answers: low
/// addresses at every setting; all others at the three most probable; low ones at every setting with more
/// patience; all others at the rest; those again with more patience. Where a unit was found, the others are
/// looked for at its setting alone. An address of which nothing but damage comes, again and again, while
/// others are silent and the line is quiet otherwise, is a unit too, of the kind Sharing::kLikely; whoever
/// answers badly hears at least our speed, so no other one is tried. Ends with `deadline`; what was found
/// until then stands in the result.
[[nodiscard]] ScanResult scan(const LinkUrl& link, const ScanOptions& options, Deadline deadline,
                              const CancelToken& cancel);

/// One search of several.
struct Search {
  LinkUrl link;
  ScanOptions options;
};

/// Searches several links at once, each in a thread of its own, so that a silent one holds up none.
/// `progress` is then told from every thread. A trace is of one search alone.
/// Returns  the results in the order of `searches`.
[[nodiscard]] std::vector<ScanResult> scan_all(const std::vector<Search>& searches, Deadline deadline,
                                               const CancelToken& cancel);

/// As scan(), over a line that `opener` opens at each of `settings`: for tests on a line in memory.
[[nodiscard]] ScanResult scan_with(const std::vector<LineSettings>& settings, SearchedLine::Opener opener,
                                   const ScanOptions& options, Deadline deadline, const CancelToken& cancel);

}  // namespace host::link::scan
