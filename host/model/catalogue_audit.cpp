#include "host/model/catalogue_audit.hpp"

#include <algorithm>
#include <array>
#include <filesystem>
#include <map>
#include <optional>
#include <set>
#include <system_error>
#include <tuple>

#include "host/model/catalogue_search.hpp"
#include "host/model/kit_file.hpp"
#include "host/model/nearest.hpp"
#include "host/model/part_file.hpp"

namespace host::model {
namespace {

namespace fs = std::filesystem;

constexpr std::array kKinds = {kPanelKind, kBoardKind, kCableKind, kSupplyKind, kKeypadKind, kKitKind};

/// A file that could be read so far that it says what it is.
struct Known {
  SourceFile file;
  About about;
};
using KnownById = std::map<std::string, Known>;

/// A part that a kit names.
struct Use {
  const PartKind* kind;
  Named named;
};
struct KitUse {
  SourceFile file;
  Status status = Status::kDraft;
  std::vector<Use> uses;
};

std::string in_lower_case(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
  return text;
}

FileError about_file(std::string path, std::string what, std::string remedy) {
  return {.kind = FileError::Kind::kMalformed,
          .path = std::move(path),
          .place = {},
          .line_text = {},
          .what = std::move(what),
          .remedy = std::move(remedy)};
}

class Auditor {
 public:
  Auditor(std::string folder, const Catalogue& others) : folder_(std::move(folder)) {
    whole_.push_back(folder_);
    for (const std::string& other : others) {
      std::error_code ignored;
      if (fs::equivalent(folder_, other, ignored)) continue;
      whole_.push_back(other);
      others_.push_back(other);
    }
  }

  Audit run() {
    for (const PartKind& kind : kKinds) read_kind(kind);
    for (const PartKind& kind : kKinds) check_replaced(kind);
    for (const KitUse& kit : kits_) check_uses(kit);
    settle(audit_.errors);
    settle(audit_.warnings);
    return std::move(audit_);
  }

 private:
  void add(const FileErrors& errors) {
    audit_.errors.insert(audit_.errors.end(), errors.begin(), errors.end());
  }

  void read_kind(const PartKind& kind) {
    std::size_t count = 0;
    std::map<std::string, std::string> by_lower_case;
    for (const fs::path& path : entries(kind)) {
      if (path.extension() != ".toml") {
        audit_.warnings.push_back(
            about_file(path.string(), "is read by nobody", "a file of a catalogue is ID.toml"));
        continue;
      }
      ++count;
      const std::string id = path.stem().string();
      const auto found = find_part({folder_}, kind, id);
      if (!found) {
        audit_.errors.push_back(about_file(path.string(), "has a name that no kit can use",
                                           "an id is up to 64 letters, digits, '-' and '_'"));
      }
      const auto [same, fresh] = by_lower_case.emplace(in_lower_case(id), id);
      if (!fresh) {
        audit_.errors.push_back(about_file(path.string(),
                                           "has the id of " + same->second + ".toml but for its case",
                                           "give each " + std::string(kind.noun) + " an id of its own"));
      }
      if (const auto hidden = find_part(others_, kind, id)) {
        audit_.warnings.push_back(
            about_file(path.string(), "hides " + *hidden, "give it an id of its own, unless that is meant"));
      }
      read_file(kind, id, path.string());
    }
    audit_.files.emplace_back(kind.folder, count);
  }

  std::vector<fs::path> entries(const PartKind& kind) {
    std::vector<fs::path> paths;
    const fs::path folder = fs::path(folder_) / std::string(kind.folder);
    std::error_code why;
    fs::directory_iterator entry(folder, why);
    for (; !why && entry != fs::directory_iterator(); entry.increment(why)) paths.push_back(entry->path());
    if (why && why != std::errc::no_such_file_or_directory) {
      FileError error = about_file(folder.string(), "can't be listed: " + why.message(), {});
      error.kind = FileError::Kind::kUnreadable;
      audit_.errors.push_back(std::move(error));
    }
    std::sort(paths.begin(), paths.end());
    return paths;
  }

  void read_file(const PartKind& kind, const std::string& id, const std::string& path) {
    if (kind.folder == kKitKind.folder) return read_kit_file(id, path);
    if (kind.folder == kPanelKind.folder) return read_part_file(kind, id, path, read_panel);
    if (kind.folder == kBoardKind.folder) return read_part_file(kind, id, path, read_board);
    if (kind.folder == kCableKind.folder) return read_part_file(kind, id, path, read_cable);
    if (kind.folder == kSupplyKind.folder) return read_part_file(kind, id, path, read_supply);
    read_part_file(kind, id, path, read_keypad);
  }

  template <typename T>
  void read_part_file(const PartKind& kind, const std::string& id, const std::string& path,
                      Loaded<FromFile<T>> (*read)(const SourceFile&)) {
    const auto file = read_source(path);
    if (!file) return add(file.error());
    const auto part = read(*file);
    if (!part) return add(part.error());
    known_[std::string(kind.folder)].emplace(id, Known{*file, part->part.about});
  }

  void read_kit_file(const std::string& id, const std::string& path) {
    if (const auto kit = load_kit(path, whole_); !kit) add(kit.error());
    const auto file = read_source(path);
    if (!file) return;
    const auto root = parse_toml(*file);
    if (!root) return;
    Complaints said_already(*file);  // by load_kit
    TableReader table(*root, "the file", said_already);
    KitFile kit_file;
    read_kit(table, *file, kit_file);
    known_[std::string(kKitKind.folder)].emplace(id, Known{*file, kit_file.kit.about});
    KitUse use{*file, kit_file.kit.about.status, {}};
    const auto names = [&](const PartKind& kind, const std::optional<Named>& named) {
      if (named) use.uses.push_back({&kind, *named});
    };
    names(kPanelKind, kit_file.panel);
    names(kBoardKind, kit_file.board);
    names(kSupplyKind, kit_file.supply);
    names(kKeypadKind, kit_file.keypad);
    for (const auto& [designator, named] : kit_file.cables) names(kCableKind, named);
    kits_.push_back(std::move(use));
  }

  void check_replaced(const PartKind& kind) {
    const KnownById& files = known_[std::string(kind.folder)];
    for (const auto& [id, one] : files) {
      const std::string& replaced = one.about.replaces;
      if (replaced.empty() || is_revision(replaced) || replaced == id) continue;
      if (!find_part(whole_, kind, replaced)) {
        audit_.errors.push_back(
            one.file.error(one.about.replaces_place,
                           "there is no " + std::string(kind.noun) + " '" + replaced + "' to replace",
                           part_hint(replaced, whole_, kind)));
        continue;
      }
      check_circle(files, id, one);
      const auto old = files.find(replaced);
      if (old != files.end() && old->second.about.status == Status::kReleased) {
        audit_.warnings.push_back(about_file(old->second.file.path,
                                             "is released, though " + id + " replaces it",
                                             "set status = \"withdrawn\""));
      }
    }
  }

  /// Tells a circle once, at the first of its ids.
  void check_circle(const KnownById& files, const std::string& first, const Known& one) {
    std::string way = first;
    std::string next = one.about.replaces;
    for (std::set<std::string> seen; seen.insert(next).second;) {
      way += " replaces " + next;
      if (next == first) {
        audit_.errors.push_back(
            one.file.error(one.about.replaces_place, "leads in a circle: " + way, "take one of them out"));
        return;
      }
      const auto found = files.find(next);
      if (found == files.end() || next < first) return;
      next = found->second.about.replaces;
    }
  }

  void check_uses(const KitUse& kit) {
    if (kit.status == Status::kWithdrawn) return;
    for (const Use& use : kit.uses) {
      const auto status = status_of(*use.kind, use.named.id);
      if (status != Status::kWithdrawn) continue;
      audit_.warnings.push_back(kit.file.error(
          use.named.place,
          "names the " + std::string(use.kind->noun) + " '" + use.named.id + "', which is withdrawn",
          "name another, or withdraw the kit"));
    }
  }

  /// Nothing for a part that can't be read, which is told elsewhere.
  std::optional<Status> status_of(const PartKind& kind, const std::string& id) {
    const KnownById& files = known_[std::string(kind.folder)];
    if (const auto found = files.find(id); found != files.end()) return found->second.about.status;
    const auto path = find_part(whole_, kind, id);
    const auto file = path ? read_source(*path) : Loaded<SourceFile>(tl::unexpected(FileErrors{}));
    const auto root = file ? parse_toml(*file) : Loaded<TomlNode>(tl::unexpected(FileErrors{}));
    if (!root) return std::nullopt;
    Complaints said_already(*file);
    TableReader table(*root, "the file", said_already);
    About about;
    read_about(table, *file, about);
    return about.status;
  }

  /// In order, each once: a part that several kits name is told by each.
  static void settle(FileErrors& errors) {
    const auto order = [](const FileError& error) {
      return std::tie(error.path, error.place.line, error.place.column, error.what);
    };
    std::sort(errors.begin(), errors.end(),
              [&](const FileError& a, const FileError& b) { return order(a) < order(b); });
    const auto same = [&](const FileError& a, const FileError& b) { return order(a) == order(b); };
    errors.erase(std::unique(errors.begin(), errors.end(), same), errors.end());
  }

  std::string folder_;
  Catalogue whole_, others_;
  std::map<std::string, KnownById> known_;  // by the folder of their kind
  std::vector<KitUse> kits_;
  Audit audit_;
};

}  // namespace

Loaded<Audit> audit_folder(const std::string& folder, const Catalogue& others) {
  const auto refused = [&](FileError::Kind kind, std::string what, std::string remedy) {
    FileError error = about_file(folder, std::move(what), std::move(remedy));
    error.kind = kind;
    return tl::unexpected(FileErrors{std::move(error)});
  };
  std::error_code why;
  if (!fs::is_directory(folder, why)) {
    if (why == std::errc::permission_denied)
      return refused(FileError::Kind::kUnreadable, "may not be read", {});
    return refused(FileError::Kind::kMissing, "there is no such folder",
                   "name the folder that holds panels/ or kits/");
  }
  const bool any = std::any_of(kKinds.begin(), kKinds.end(), [&](const PartKind& kind) {
    std::error_code ignored;
    return fs::is_directory(fs::path(folder) / std::string(kind.folder), ignored);
  });
  if (!any) {
    return refused(FileError::Kind::kMissing, "holds none of a catalogue's folders",
                   "they are panels, boards, cables, supplies, keypads and kits");
  }
  return Auditor(folder, others).run();
}

}  // namespace host::model
