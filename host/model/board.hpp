#pragma once

#include <map>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "host/model/about.hpp"
#include "host/model/connector.hpp"
#include "host/model/panel.hpp"
#include "host/model/quantity.hpp"
#include "host/model/strap.hpp"
#include "protocol/points/point.hpp"

namespace host::model {

enum class RailId { kLogic, kPanel, kLight, kKeypad };
enum class RailOrigin { kRegulated, kPassedThrough };

/// A supply the board makes or hands on. A rail's points are rails.<id>_<place>_mv and its relatives.
struct Rail {
  RailId id = RailId::kPanel;
  std::vector<std::string> places;  // "selected" (ahead of the switch), "out" (after fuse and switch)
  std::vector<Millivolts> choices;  // one, or what straps choose from; empty when passed through
  RailOrigin origin = RailOrigin::kRegulated;
  PartsPerMillion tolerance;  // of the board's own making, either side
  Milliamps current_max;
  Milliamps fuse;
  PartsPerMillion uncertainty;  // of a reading, either side
};

/// What straps select. The ids are closed: the expectation knows what each must be.
enum class FunctionId {
  kPanelSupply,   // Millivolts
  kLightSupply,   // Millivolts
  kLightEnable,   // Millivolts: the active level of the enable line
  kDimmingSense,  // DimmingSense
  kBitMapping,    // Mapping
  kRasterRow,     // RasterRow
  kKeypadPower,   // Toggle
  kScanDirection  // ScanDirection
};
enum class Toggle { kOff, kOn };
enum class ScanDirection { kNormal, kReversed };
struct RasterRow {
  Pixels columns, lines;
  int channels = 1;
  int bits = 24;
  friend bool operator==(const RasterRow&, const RasterRow&) = default;
};
using FunctionValue = std::variant<Millivolts, DimmingSense, Mapping, RasterRow, Toggle, ScanDirection>;

[[nodiscard]] std::string_view to_text(FunctionId id);          // "panel-supply"
[[nodiscard]] std::string to_text(const FunctionValue& value);  // "3.3 V", "1920 x 1080, 2 channels, 24 bit"

/// One value of a function and the strap positions that select it.
struct FunctionRow {
  struct Setting {
    std::size_t strap = 0;          // index into Board::straps
    std::vector<Pattern> patterns;  // any of these
  };
  FunctionValue value;
  std::vector<Setting> settings;  // all of these; a strap not named doesn't matter
  Place place;                    // in the board file
};

/// Rows never contradict: two that some joint position matches have the same value (the loader refuses
/// anything else). A joint position that no row matches is undefined.
struct Function {
  FunctionId id = FunctionId::kPanelSupply;
  std::vector<FunctionRow> rows;
  Place place;
};

enum class WireProfile {
  kStrapline,  // the registers of this project's own profile
  kOwn         // registers of the maker's own, listed in the board's file
};
enum class RegisterTable { kInputs, kHolding, kDiscretes, kCoils };
enum class RegisterType { kU16, kS16, kU32, kS32, kBit, kText };
/// Where a board that speaks no profile keeps a point. value = register x times / divided_by, rounded to the
/// nearest. A point that is a text may be a number there: its decimal digits are the text.
struct ForeignRegister {
  protocol::points::Point point{};
  RegisterTable table = RegisterTable::kInputs;
  std::uint16_t address = 0;  // as it stands on the wire, from 0
  RegisterType type = RegisterType::kU16;
  bool low_word_first = false;  // of 32 bits
  std::int64_t times = 1, divided_by = 1;
  int length = 1;  // of a text, in registers: two octets each, the first in the high octet; 1..16

  [[nodiscard]] int words() const {
    if (type == RegisterType::kText) return length;
    return type == RegisterType::kU32 || type == RegisterType::kS32 ? 2 : 1;
  }
};

/// Addresses of one table that may be read, in one read or in several.
struct ReadableRange {
  RegisterTable table = RegisterTable::kInputs;
  std::uint16_t address = 0;
  int count = 1;

  [[nodiscard]] bool holds(const ForeignRegister& one) const {
    return one.table == table && one.address >= address && one.address + one.words() <= address + count;
  }
};

/// How a board that speaks no profile is talked to.
struct ForeignWire {
  bool diagnostics = true;       // answers function 08, or refuses it
  bool identification = true;    // answers function 2B/0E, or refuses it
  std::string product;           // object 01 of its identification; empty: nothing is said
  Microseconds answer_time_max;  // the longest any answer takes, as its maker says; zero: nothing is said
  int registers_max = 125;       // of one read
  std::vector<ReadableRange> readable;  // a table without any: only the registers that hold points
};

/// What an input answers when a source asks for its EDID.
enum class EdidOrigin {
  kLoaded,  // the one that was made for the kit and written into the board
  kNone,    // nothing
  kFixed    // the maker's own, which names the timings of `edid_timings`
};

struct VideoInput {
  std::string id;    // "hdmi-1"
  std::string kind;  // "hdmi", "dvi", "vga", "displayport"
  Hertz pixel_clock_max;
  std::string connector;
  EdidOrigin edid = EdidOrigin::kLoaded;
  std::vector<std::string>
      edid_timings{};  // of kFixed only, by their standards' names, the preferred one first
  Place edid_place{};  // in the board file
};

/// Controller board.
struct Board {
  struct Service {  // the serial port
    std::string connector;
    std::string level;  // "rs-485", "rs-232", "ttl"
    int baud = 115200;
    std::string parity;  // "even", "odd", "none"
    Microseconds turnaround;
    Microseconds gap{};  // silence it needs before a request, where that is more than 3.5 characters
  };
  struct InputSupply {
    Bounds<Millivolts> voltage;  // min and max always present
    Milliamps fuse;
    PartsPerMillion uncertainty;
    std::string connector;
  };
  struct LinkOutput {
    LinkKind kind = LinkKind::kLvds;
    int channels_max = 1;
    Hertz channel_clock_max;                         // of one channel
    std::optional<KilobitsPerSecond> lane_rate_max;  // of eDP, present then only
    std::optional<Mapping> mapping;                  // when no strap chooses it
    std::string connector;
  };
  struct LightOutput {
    std::optional<Millivolts> enable_high;  // when no strap chooses it
    PartsPerMillion enable_tolerance;
    std::optional<DimmingSense> sense;  // of its PWM, when no strap chooses it
    Hertz pwm;                          // default frequency
    Bounds<Hertz> pwm_range;
    std::map<PartsPerMillion, PartsPerMillion>
        duty_at;  // brightness to duty for high-is-brighter, straight between
    std::map<PartsPerMillion, Millivolts> level_at;  // the same as a voltage; empty: no analogue output
    PartsPerMillion frequency_uncertainty, duty_uncertainty;  // frequency: of reading; duty: of full scale
    Millivolts enable_uncertainty;
    Millivolts level_uncertainty;    // of a reading of the dimming voltage
    std::optional<Hertz> pwm_clock;  // of the timer that makes the PWM; its steps are this over the frequency
    std::string connector;
  };
  struct Sequence {  // at the board's outputs
    Bounds<Microseconds> supply_rise, supply_to_signal, signal_to_light, light_to_no_signal, rest;
    Microseconds resolution;     // of the intervals it measures
    bool keeps_at_loss = false;  // it still switches off in order when its supply fails suddenly
  };
  struct Size {
    Micrometres width, height;
  };

  About about;
  Size size;
  Milliwatts own_power;
  PartsPerMillion efficiency;
  std::optional<Microseconds> message_for;  // it says so for that long when it has no source, then goes dark
  InputSupply input_supply;
  Service service;
  WireProfile profile = WireProfile::kStrapline;
  std::vector<ForeignRegister> registers;  // of kOwn only, in the order of the file
  ForeignWire wire;                        // of kOwn only
  std::vector<Rail> rails;
  LinkOutput link;
  LightOutput light;
  std::optional<Sequence> sequence;
  std::vector<VideoInput> inputs;
  std::vector<Connector> connectors;
  std::vector<Strap> straps;
  std::vector<Function> functions;
  std::vector<protocol::points::Point> absent;           // points the board has not fitted
  std::map<protocol::points::Point, Evidence> evidence;  // where it differs from usual_evidence()
  std::string loose_accepted_because;  // a reason to accept a loose snapshot; empty: not accepted

  [[nodiscard]] const Rail* rail(RailId id) const;              // nullptr when the board has none
  [[nodiscard]] const Function* function(FunctionId id) const;  // nullptr when no strap selects it
  [[nodiscard]] const Strap* strap(std::string_view id) const;  // nullptr when unknown
  [[nodiscard]] bool fitted(protocol::points::Point point) const;
  [[nodiscard]] Evidence evidence_of(protocol::points::Point point) const;
};

/// How a point is known on a board that doesn't say otherwise: rails, PWM, enable level and what the input
/// receiver counts are measured; what the firmware believes of its own outputs is declared.
[[nodiscard]] Evidence usual_evidence(protocol::points::Point point);

}  // namespace host::model

// Copied and ended in many files, compiled once.
extern template class std::vector<host::model::Rail>;
extern template class std::vector<host::model::FunctionRow>;
extern template class std::vector<host::model::FunctionRow::Setting>;
extern template class std::vector<host::model::Function>;
extern template class std::vector<host::model::VideoInput>;
extern template class std::vector<host::model::ForeignRegister>;
extern template class std::vector<host::model::ReadableRange>;
extern template class std::vector<host::model::Connector>;
