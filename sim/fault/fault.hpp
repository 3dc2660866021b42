#pragma once

#include <string>
#include <string_view>
#include <variant>

#include <tl/expected.hpp>

#include "host/model/quantity.hpp"
#include "host/model/timing.hpp"
#include "protocol/points/point.hpp"
#include "sim/fault/kind.hpp"

namespace sim::fault {

/// A pair of the panel's cable.
struct Pair {
  int index = 0;       // from 0 through all channels: with four a channel, 4 is the second channel's first
  bool clock = false;  // the clock pair instead
  friend bool operator==(Pair, Pair) = default;
};

/// Where a line hangs.
enum class Level : std::uint8_t { kLow, kHigh };

/// In the order of the choices of input.colour_form.
enum class ColourForm : std::uint8_t { kRgb, kYcbcr444, kYcbcr422, kYcbcr420 };

struct Key {
  int number = 1;  // from 1
  friend bool operator==(Key, Key) = default;
};

struct ReadingError {
  protocol::points::Point point{};
  host::model::PartsPerMillion gain;  // either sign
  friend bool operator==(const ReadingError&, const ReadingError&) = default;
};

/// A raster by its standard's name.
struct NamedTiming {
  std::string name;
  host::model::Timing timing;
  friend bool operator==(const NamedTiming&, const NamedTiming&) = default;
};

/// What stands behind the "=". A text is the id of a strap, a panel or a kit, or a serial format, as written.
using Argument = std::variant<std::monostate, host::model::Millivolts, host::model::Milliamps,
                              host::model::PartsPerMillion, host::model::Hertz, host::model::Millidegrees,
                              Pair, Level, ColourForm, Key, ReadingError, NamedTiming, std::string>;

/// One thing that is wrong with a unit.
struct Fault {
  Kind kind = Kind::kSupplyDead;
  Argument argument;

  /// The argument as T. Precondition: its form has a T.
  template <typename T>
  [[nodiscard]] const T& as() const {
    return std::get<T>(argument);
  }
  friend bool operator==(const Fault&, const Fault&) = default;
};

/// Reads "NAME" or "NAME=ARG".
///
/// Returns  the fault; whether it can apply to a kit is the unit's to say.
/// Errors   one sentence that says what would be right: no such fault (with the nearest name), an argument
///          missing, too much, of another form or out of any range.
[[nodiscard]] tl::expected<Fault, std::string> parse_fault(std::string_view text);

/// "supply-low=10 V"; parse_fault reads it back.
[[nodiscard]] std::string to_text(const Fault& fault);

}  // namespace sim::fault
