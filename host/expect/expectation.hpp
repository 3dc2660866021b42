#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "host/expect/dimming.hpp"
#include "host/expect/wire/gauge.hpp"
#include "host/model/board.hpp"
#include "host/model/finding.hpp"
#include "host/model/kit.hpp"
#include "host/model/timing.hpp"
#include "host/signal/edid_choice.hpp"
#include "protocol/points/point.hpp"

namespace host::expect {

/// What a reading may be off by: of_reading x reading + absolute, in the point's unit.
struct Uncertainty {
  model::PartsPerMillion of_reading;
  std::int64_t absolute = 0;

  /// Half width around `reading`, rounded up.
  [[nodiscard]] std::int64_t at(std::int64_t reading) const;
};

/// One limit on a reading. `low` and `high` say what it is called to fall below min or rise above max.
struct Limit {
  model::Bounds<std::int64_t> bounds;
  model::Severity severity = model::Severity::kFault;
  model::FindingId low = model::FindingId::kCount;
  model::FindingId high = model::FindingId::kCount;
};

/// What a point must read. A choice has min = nominal = max. A text point has `text` and one limit, whose
/// `low` says what it is called to read anything else and whose bounds say nothing.
struct ExpectedPoint {
  protocol::points::Point point{};
  model::Bounds<std::int64_t> bounds;  // the tightest of the limits of severity fault or graver
  std::string text;                    // of a text point, cut to what the point holds
  bool blank_is_well = false;          // a text that was never written is no difference
  std::vector<Limit> limits;           // gravest first
  std::string why;                     // formula with numbers, and source
  Uncertainty uncertainty;
  bool required = true;      // must be known for a pass
  bool needs_awake = false;  // has no value while the unit sleeps or has no signal
  bool can_destroy = false;  // only measured, inferred or metered evidence counts
};

/// What a function must evaluate to.
struct ExpectedFunction {
  model::FunctionId id{};
  std::vector<model::FunctionValue> accepted;  // first: the one to set
  bool used = true;                            // false: this kit doesn't care
  model::FindingId finding{};                  // what a wrong value is
  std::string why;
  std::optional<protocol::points::Point> consequence;  // a measured point whose reading tells the value apart
  bool can_destroy = false;
};

/// Where a strap must stand.
struct ExpectedStrap {
  std::size_t strap = 0;                     // index into Board::straps
  std::vector<model::FunctionId> functions;  // that depend on it, used or not
  model::Position position;                  // the one to set
  std::vector<model::Position> accepted;  // in some joint assignment that gives every used function its value
  bool required = true;                   // false: any position does
};

struct PanelLink {
  int channels = 0;
  model::Hertz channel_clock;
  std::int64_t bit_rate_kbps = 0;  // of one pair
  int bits = 0;
  model::Mapping mapping{};
};

struct Rectangle {
  model::Pixels x, y, width, height;
};

struct SupplyNeed {
  model::Millivolts voltage;
  model::Milliamps current;  // drawn from the supply, worst case
  model::Milliwatts power;
  model::Milliwatts recommended_power;  // next standard size at 80 % load
  model::Milliwatts idle, black,
      white;                         // drawn from the supply while the panel shows nothing, black or white
  model::Milliamps panel_inrush;     // out of the panel rail, for moments
  model::PartsPerMillion fuse_load;  // of the board's input fuse, worst case; 0 when its rating isn't known
  std::string sum;                   // how `power` comes about: "board 4.2 W + panel 12 V x 0.6 A / 88 % + …"
  std::string why;                   // the sum, and what follows from it
};

/// What drops on one cable for one supply, out and back, at worst.
struct CableDrop {
  std::string cable;  // "W1"
  std::string net;    // "VPANEL"
  int wires_out = 0, wires_back = 0;
  model::Milliamps current;
  wire::Microhms resistance;
  model::Millivolts source_min, drop, at_load_min;
  model::Millivolts load_min;  // what the load takes at least
  std::string why;
};

/// A figure between limits, and how far from the nearer one.
struct Margin {
  std::string figure;    // "pixel_clock_khz"
  std::string unit;      // "kHz"
  std::string limit_of;  // "panel", "board", "input"
  std::int64_t value = 0;
  model::Bounds<std::int64_t> bounds;
  std::int64_t permille = 0;  // of the value; negative when outside
};

/// One interval of the power sequence: what the panel takes and what the board gives.
struct Interval {
  std::string name;  // "supply_to_signal"
  std::string what;  // "from the panel's supply to its signal"
  model::Bounds<model::Microseconds> takes;
  std::optional<model::Bounds<model::Microseconds>> gives;  // none: the board's file doesn't say
};

struct SequenceNeed {
  std::vector<Interval> intervals;    // in order of time
  std::optional<bool> keeps_at_loss;  // does the board keep the order when its supply fails suddenly?
};

struct BacklightNeed {
  model::Millivolts supply;
  model::Millivolts enable_on_above;
  model::DimmingSense sense{};
  model::Bounds<model::Hertz> frequency;
  model::Bounds<model::PartsPerMillion> duty;
  std::optional<model::PartsPerMillion> duty_expected;  // when the kit names a brightness
  // Of dimming by a voltage only:
  model::Bounds<model::Millivolts> level;           // what the backlight takes
  std::optional<model::Millivolts> level_expected;  // when the kit names a brightness and the board gives one
  // Of dimming by PWM only:
  model::Hertz frequency_chosen;       // the one the kit names, else the board's own
  std::optional<std::int64_t> steps;   // between dark and full, when the board says its timer's clock
  std::int64_t shortest_pulse_ns = 0;  // at the board's lowest brightness
  model::Millihertz beat;              // with the refresh rate
  FlickerRegion flicker = FlickerRegion::kOutside;
};

/// What the board tells the source at the kit's input, and what a source left to itself sends then.
struct SourceView {
  bool given = false;  // an EDID that was handed over, not what the board's file says
  model::EdidOrigin origin = model::EdidOrigin::kLoaded;
  std::vector<std::string> refused;  // why no EDID can be made, one sentence each
  signal::SourceChoice choice;
};

/// What a kit must read as, and what is wrong with it on paper.
struct Expectation {
  std::vector<ExpectedStrap> straps;        // parallel to Board::straps
  std::vector<ExpectedFunction> functions;  // parallel to Board::functions
  std::vector<ExpectedPoint> points;
  PanelLink link;
  model::Timing timing;
  std::optional<Rectangle> window;
  SourceView source;
  SupplyNeed supply;
  BacklightNeed backlight;
  SequenceNeed sequence;
  std::vector<CableDrop> drops;
  std::vector<Margin> margins;
  std::vector<model::Finding> findings;  // on paper, gravest first
};

/// Works out what a kit must read as.
///
/// Returns  the expectation; what can't work on paper is a finding, not an error.
/// Errors   a file that names something that doesn't exist (a timing no standard has), with its place.
[[nodiscard]] model::Loaded<Expectation> derive(const model::Kit& kit);

/// Puts an EDID in the place of the one that the board tells, and judges it anew: what was read from a unit,
/// or is meant to be written into one. Any bytes will do.
void present(Expectation& expectation, const model::Kit& kit, std::span<const std::uint8_t> edid);

/// What a source left to itself makes of an EDID.
struct JudgedEdid {
  std::string expected, actual;  // the kit's raster and the one chosen: "800 x 480 of 1056 x 525, 33 MHz"
  std::optional<model::Finding> finding;  // where they differ; as grave as on paper
};

/// Holds an EDID that was read from the kit's unit against the timing that the kit needs; `expectation` stays
/// as it is. Any bytes will do, but for none at all, which are judged as an EDID that is missing. Where no
/// EDID can tell the kit's timing, that is what the finding says.
[[nodiscard]] JudgedEdid judge_edid(const Expectation& expectation, const model::Kit& kit,
                                    std::span<const std::uint8_t> edid);

}  // namespace host::expect

// Copied and ended in many files, compiled once.
extern template class std::vector<host::expect::ExpectedStrap>;
extern template class std::vector<host::expect::ExpectedPoint>;
extern template class std::vector<host::expect::Limit>;
extern template class std::vector<host::expect::Margin>;
