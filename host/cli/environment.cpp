#include "host/cli/environment.hpp"

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <system_error>

#include <unistd.h>

#include "host/link/terminal.hpp"

namespace host::cli {
namespace {

std::string variable(const char* name) {
  const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): one thread
  return value == nullptr ? std::string{} : std::string{value};
}

bool names_utf8(std::string locale) {
  std::transform(locale.begin(), locale.end(), locale.begin(), [](char letter) {
    return letter >= 'A' && letter <= 'Z' ? static_cast<char>(letter + 32) : letter;
  });
  return locale.find("utf-8") != std::string::npos || locale.find("utf8") != std::string::npos;
}

const std::string& first_set(const std::string& first, const std::string& second) {
  return first.empty() ? second : first;
}

}  // namespace

Environment environment_of_process() {
  Environment environment;
  environment.no_color = variable("NO_COLOR");
  environment.term = variable("TERM");
  environment.lc_all = variable("LC_ALL");
  environment.lc_ctype = variable("LC_CTYPE");
  environment.lang = variable("LANG");
  environment.home = variable("HOME");
  environment.xdg_data_home = variable("XDG_DATA_HOME");
  environment.xdg_data_dirs = variable("XDG_DATA_DIRS");
  std::error_code ignored;
  environment.program_folder =
      std::filesystem::read_symlink("/proc/self/exe", ignored).parent_path().string();
  environment.stdout_is_terminal = isatty(STDOUT_FILENO) == 1;
  environment.stderr_is_terminal = isatty(STDERR_FILENO) == 1;
  environment.stdout_columns = environment.stdout_is_terminal ? link::terminal_columns(STDOUT_FILENO) : 0;
  return environment;
}

report::TextStyle text_style(ColourWish wish, const Environment& environment) {
  report::TextStyle style;
  const bool suits =
      environment.stdout_is_terminal && environment.no_color.empty() && environment.term != "dumb";
  style.colour = wish == ColourWish::kAlways || (wish == ColourWish::kAuto && suits);
  const std::string& locale =
      first_set(environment.lc_all, first_set(environment.lc_ctype, environment.lang));
  style.ascii = !names_utf8(locale);
  // Longer lines than 120 columns are hard to follow back to their start.
  if (environment.stdout_columns > 0) style.width = std::clamp(environment.stdout_columns, 40, 120);
  return style;
}

std::vector<std::string> catalogue_folders(const std::vector<std::string>& given,
                                           const Environment& environment) {
  std::vector<std::string> folders = given;
  const auto add = [&folders](const std::filesystem::path& folder) {
    std::error_code ignored;
    if (folder.is_absolute() && std::filesystem::is_directory(folder, ignored))
      folders.push_back(folder.string());
  };
  const std::filesystem::path inside = std::filesystem::path{"strapline"} / "catalog";
  if (!environment.xdg_data_home.empty()) {
    add(environment.xdg_data_home / inside);
  } else if (!environment.home.empty()) {
    add(std::filesystem::path{environment.home} / ".local" / "share" / inside);
  }
  std::string_view rest = environment.xdg_data_dirs.empty() ? std::string_view{"/usr/local/share:/usr/share"}
                                                            : std::string_view{environment.xdg_data_dirs};
  while (!rest.empty()) {
    const std::size_t colon = std::min(rest.find(':'), rest.size());
    if (colon > 0) add(std::filesystem::path{rest.substr(0, colon)} / inside);
    rest.remove_prefix(std::min(colon + 1, rest.size()));
  }
  if (!environment.program_folder.empty()) {
    add((std::filesystem::path{environment.program_folder} / ".." / "share" / inside).lexically_normal());
  }
#ifdef STRAPLINE_SOURCE_CATALOG
  add(STRAPLINE_SOURCE_CATALOG);
#endif
  return folders;
}

}  // namespace host::cli
