#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <tl/expected.hpp>

#include "host/model/board.hpp"
#include "protocol/base/time.hpp"
#include "sim/line/character.hpp"
#include "sim/line/noise.hpp"
#include "sim/unit/strap_logic.hpp"

namespace sim::port {

/// Where a line comes out.
struct PortSpec {
  enum class Kind { kPty, kTcp, kMbtcp, kSerial };
  Kind kind = Kind::kPty;
  std::string where;  // link name, host and port, device
  friend bool operator==(const PortSpec&, const PortSpec&) = default;
};

/// What the program was asked to do; nothing looked up in a kit.
struct Options {
  std::string kit;
  std::vector<PortSpec> ports;
  std::vector<std::pair<std::string, std::string>> straps;    // id and position
  std::vector<std::pair<std::string, std::string>> settings;  // key and value
  std::vector<std::string> faults;                            // NAME or NAME=ARG
  std::vector<std::string> catalogues;
  std::optional<std::string> source;  // a timing's name, or "none"
  bool within_edge = false;
  std::string serial = "SIM-000001";
  int address = 1;
  int units = 1;  // on each port
  std::uint64_t seed = 1;
  std::string state;

  bool pace = false;
  std::optional<std::uint32_t> baud;
  std::optional<line::Parity> parity;
  std::optional<std::uint8_t> stop_bits;
  protocol::base::Duration turnaround{};
  line::Noise noise;

  std::string script;
  std::optional<double> speed = 1;  // virtual seconds in a real one; nothing: as fast as it goes
  std::string control;
  std::string truth;
  std::string seen;
  bool remove_folder = false;
  bool quiet = false;
};

/// Why the program ends before it serves: what to print, and its exit code (0: help or version, on standard
/// output).
struct Ending {
  int code = 0;
  std::string text;
};

/// Reads the command line. Errors: exit code 64 with one line that says what would be right.
[[nodiscard]] tl::expected<Options, Ending> parse_options(int count, const char* const* arguments);

/// Puts the given straps where they are said to stand.
/// Errors   exit code 64: no such strap, or a position it can't have; one line that says what there is.
[[nodiscard]] tl::expected<unit::Positions, Ending> with_straps(
    const host::model::Board& board, unit::Positions positions,
    const std::vector<std::pair<std::string, std::string>>& straps);

/// The line of this board, as the options want it. Source  MODBUS over Serial Line V1.02, 2.5.1 (two stop
/// bits without parity).
[[nodiscard]] line::CharacterFormat line_format(const host::model::Board& board, const Options& options);

/// The serial number of the n-th unit, from 0: the digits at the end of the first one's count on; where it
/// has none, "-2", "-3" … follow. At most 16 octets, so that the front is cut.
[[nodiscard]] std::string serial_of(const std::string& first, int n);

}  // namespace sim::port
