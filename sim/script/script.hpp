#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "host/model/source_file.hpp"
#include "protocol/base/time.hpp"
#include "protocol/points/point.hpp"
#include "protocol/points/reading.hpp"
#include "sim/script/act.hpp"

namespace sim::script {

/// That a point reads as it should.
struct PointWish {
  protocol::points::Point point{};
  std::optional<std::int64_t> min, max;         // in the point's unit
  std::optional<std::string> text;              // of a text, or the name of a choice
  std::optional<protocol::points::Unread> why;  // why it says nothing
};

/// That a person in front of the unit sees what they should; what isn't named may be anything.
struct EyeWish {
  std::optional<std::string> screen;
  std::optional<std::vector<std::string>> look;  // these and no others, in any order
  std::optional<std::string> when;
};

/// Something to do, or to look at.
struct Entry {
  protocol::base::Instant at;  // since the supply came first
  int unit = 1;                // of those that run
  std::variant<Act, PointWish, EyeWish> what;
  host::model::Place place;  // of its first word in the file
};

/// A file of events and expectations, in order of time; of the same instant in the order of the file, and
/// expectations behind what is done then.
struct Script {
  host::model::SourceFile file;
  std::string title;
  std::vector<Entry> entries;
  protocol::base::Instant end{};  // when it is over
};

/// Reads a script.
///
/// Shape    title = "…", end = "90 s" (else its last entry), any number of
///            [[event]]   at = "5 s", one of the verbs of act.hpp with its argument as a text
///                        (unplug = true, reset = true)
///            [[expect]]  at = "8 s", point = "rails.panel_out_mv" with is =, min =, max = or unread =
///                        "asleep", "no-edges", "not-fitted"; or screen =, look = […], when =
///          each with unit = 2 where more than one unit runs. Times count from when the supply came first.
/// Errors   all of them at once, with line and column; as any file of the catalogue.
[[nodiscard]] host::model::Loaded<Script> load_script(const std::string& path);

/// The same, of a file that was read already.
[[nodiscard]] host::model::Loaded<Script> parse_script(host::model::SourceFile file);

}  // namespace sim::script
