#pragma once

#include <optional>
#include <string>
#include <vector>

#include "host/cli/requests.hpp"
#include "host/report/document.hpp"

namespace host::cli {

/// What the program takes from its surroundings, read once at the start. Unset and empty are the same.
struct Environment {
  std::string no_color, term;
  std::string lc_all, lc_ctype, lang;
  std::string home, xdg_data_home, xdg_data_dirs;
  std::string program_folder;  // where this program is; empty when the system doesn't say
  bool stdout_is_terminal = false;
  bool stderr_is_terminal = false;
  int stdout_columns = 0;  // 0: not told
};

[[nodiscard]] Environment environment_of_process();

/// How to draw on standard output: colour on a terminal that isn't dumb unless NO_COLOR is set, or as wished;
/// 7-bit text where the locale isn't UTF-8; as wide as the terminal between 40 and 120 columns, else 80.
[[nodiscard]] report::TextStyle text_style(ColourWish wish, const Environment& environment);

/// The catalogue's folders, nearest first: those given, the user's ($XDG_DATA_HOME/strapline/catalog), the
/// system's
/// ($XDG_DATA_DIRS), ../share/strapline/catalog beside the program, and in development builds the source
/// tree's. Those that aren't there are left out, except given ones. Source  XDG Base Directory Specification
/// 0.8.
[[nodiscard]] std::vector<std::string> catalogue_folders(const std::vector<std::string>& given,
                                                         const Environment& environment);

}  // namespace host::cli
