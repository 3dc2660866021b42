#include "host/model/catalogue_search.hpp"

#include <algorithm>
#include <filesystem>
#include <set>
#include <system_error>

#include "host/model/nearest.hpp"
#include "host/model/source_file.hpp"

namespace host::model {
namespace {

namespace fs = std::filesystem;

/// Anything else could leave the catalogue's folders.
bool is_file_id(std::string_view id) {
  return !id.empty() && id.size() <= 64 && std::all_of(id.begin(), id.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
  });
}

fs::path folder_of(const std::string& catalogue, const PartKind& kind) {
  return fs::path(catalogue) / std::string(kind.folder);
}

}  // namespace

std::optional<std::string> find_part(const Catalogue& catalogue, const PartKind& kind, std::string_view id) {
  if (!is_file_id(id)) return std::nullopt;
  for (const std::string& root : catalogue) {
    const fs::path path = folder_of(root, kind) / (std::string(id) + ".toml");
    std::error_code why;
    // A link that leads nowhere, and what can't be looked at, is the wrong thing to look past: reading it
    // says why.
    const bool is_there = fs::exists(fs::symlink_status(path, why));
    const bool is_absent = why == std::errc::no_such_file_or_directory || why == std::errc::not_a_directory;
    if (is_there || (why && !is_absent)) return path.string();
  }
  return std::nullopt;
}

std::vector<std::string> part_ids(const Catalogue& catalogue, const PartKind& kind) {
  std::set<std::string> ids;
  for (const std::string& root : catalogue) {
    std::error_code why;
    fs::directory_iterator entry(folder_of(root, kind), why);
    for (; !why && entry != fs::directory_iterator(); entry.increment(why)) {
      const fs::path& path = entry->path();
      const std::string id = path.stem().string();
      if (path.extension() == ".toml" && is_file_id(id)) ids.insert(id);
    }
  }
  return {ids.begin(), ids.end()};
}

std::string part_hint(std::string_view id, const Catalogue& catalogue, const PartKind& kind) {
  const std::vector<std::string> ids = part_ids(catalogue, kind);
  const std::vector<std::string_view> views(ids.begin(), ids.end());
  return nearest_hint(id, views, kind.folder);
}

Loaded<std::string> resolve(std::string_view id_or_path, const Catalogue& catalogue, const PartKind& kind) {
  const bool path = id_or_path.find('/') != std::string_view::npos || id_or_path.ends_with(".toml");
  if (path) return std::string(id_or_path);
  if (const auto found = find_part(catalogue, kind, id_or_path)) return *found;
  return tl::unexpected(FileErrors{{.kind = FileError::Kind::kMissing,
                                    .path = std::string(id_or_path),
                                    .place = {},
                                    .line_text = {},
                                    .what = "there is no such " + std::string(kind.noun),
                                    .remedy = part_hint(id_or_path, catalogue, kind)}});
}

}  // namespace host::model
