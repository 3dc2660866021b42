#pragma once

#include <string>

#include <tl/expected.hpp>

#include "host/cli/command_line.hpp"
#include "host/signal/identify.hpp"

namespace host::cli {

struct EdidShowRequest {
  std::string file;  // "-": standard input
  bool json = false;
};

struct EdidMakeRequest {
  std::string kit;
  std::string path;
  bool as_text = false;  // hexadecimal, not octets
  std::string maker;     // three capital letters
  int year = 0;          // 2000..2245
};

struct EdidDiffRequest {
  std::string left, right;  // one of them may be "-"
  bool json = false;
};

struct TimingMakeRequest {
  std::string name;
  bool json = false;
};

struct TimingIdentifyRequest {
  signal::Measured measured;  // not empty
  bool json = false;
};

/// The values of a command line, read. Errors: one sentence that names the option and what would be right
/// (exit 64).
[[nodiscard]] tl::expected<EdidShowRequest, std::string> edid_show_request(const CommandLine& line);
[[nodiscard]] tl::expected<EdidMakeRequest, std::string> edid_make_request(const CommandLine& line);
[[nodiscard]] tl::expected<EdidDiffRequest, std::string> edid_diff_request(const CommandLine& line);
[[nodiscard]] tl::expected<TimingMakeRequest, std::string> timing_make_request(const CommandLine& line);
[[nodiscard]] tl::expected<TimingIdentifyRequest, std::string> timing_identify_request(
    const CommandLine& line);

}  // namespace host::cli
