#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <tl/expected.hpp>

#include "host/model/board.hpp"
#include "sim/unit/strap_logic.hpp"

namespace sim::port {

/// What the program was asked to do, as written; nothing looked up.
struct Options {
  std::string kit;
  std::string pty;
  std::vector<std::pair<std::string, std::string>> straps;    // id and position
  std::vector<std::pair<std::string, std::string>> settings;  // key and value
  std::vector<std::string> catalogues;
  std::optional<std::string> source;  // a timing's name, or "none"
  std::string serial = "SIM-000001";
  std::string noise;
  std::uint64_t seed = 1;
  int address = 1;
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

}  // namespace sim::port
