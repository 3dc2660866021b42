#include "sim/port/catalogue_path.hpp"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <string_view>
#include <system_error>

namespace sim::port {
namespace {

namespace fs = std::filesystem;

std::string environment(const char* name, std::string_view otherwise) {
  const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): one thread
  return value != nullptr && *value != '\0' ? std::string{value} : std::string{otherwise};
}

}  // namespace

host::model::Catalogue catalogue_path(const std::vector<std::string>& given) {
  host::model::Catalogue folders{given};
  const auto add = [&folders](const fs::path& folder) {
    std::error_code error;
    if (fs::is_directory(folder, error)) folders.push_back(folder.string());
  };
  const fs::path inside = fs::path{"strapline"} / "catalog";
  const std::string home = environment("HOME", "");
  const std::string data = environment("XDG_DATA_HOME", home.empty() ? "" : home + "/.local/share");
  if (!data.empty()) add(fs::path{data} / inside);
  std::string_view system = "/usr/local/share:/usr/share";
  const std::string listed = environment("XDG_DATA_DIRS", system);
  system = listed;
  while (!system.empty()) {
    const std::string_view folder = system.substr(0, system.find(':'));
    system.remove_prefix(std::min(folder.size() + 1, system.size()));
    if (!folder.empty()) add(fs::path{folder} / inside);
  }
  std::error_code error;
  const fs::path program = fs::read_symlink("/proc/self/exe", error);
  if (!error) add(program.parent_path() / ".." / "share" / inside);
#ifdef STRAPLINE_SOURCE_CATALOG
  add(STRAPLINE_SOURCE_CATALOG);
#endif
  return folders;
}

}  // namespace sim::port
