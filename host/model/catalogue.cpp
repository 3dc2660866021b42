#include "host/model/catalogue.hpp"

#include "host/model/canonical.hpp"
#include "host/model/catalogue_search.hpp"
#include "host/model/kit_file.hpp"
#include "host/model/part_file.hpp"

namespace host::model {
namespace {

/// Counts changes of the canonical form itself, so that digests of two forms never meet.
constexpr std::int64_t kSchemaVersion = 1;

template <typename T>
using ReadPart = Loaded<FromFile<T>> (*)(const SourceFile&);

template <typename T>
Loaded<T> load_part(std::string_view id_or_path, const Catalogue& catalogue, const PartKind& kind,
                    ReadPart<T> read) {
  const auto path = resolve(id_or_path, catalogue, kind);
  if (!path) return tl::unexpected(path.error());
  const auto file = read_source(*path);
  if (!file) return tl::unexpected(file.error());
  auto result = read(*file);
  if (!result) return tl::unexpected(std::move(result.error()));
  return std::move(result->part);
}

/// Reads the files a kit names, and gathers what they add to its digest and every error of theirs.
class KitParts {
 public:
  KitParts(const Catalogue& catalogue, Complaints& kit_complaints)
      : catalogue_(catalogue), kit_complaints_(kit_complaints) {}

  template <typename T>
  std::optional<T> read(const std::optional<Named>& named, const PartKind& kind, ReadPart<T> read_part,
                        Canonical& canonical, const std::string& key) {
    if (!named) return std::nullopt;
    const auto path = find_part(catalogue_, kind, named->id);
    if (!path) {
      kit_complaints_.add(named->place, "there is no " + std::string(kind.noun) + " '" + named->id + "'",
                          part_hint(named->id, catalogue_, kind));
      return std::nullopt;
    }
    const auto file = read_source(*path);
    if (!file) return gather<T>(file.error());
    auto result = read_part(*file);
    if (!result) return gather<T>(result.error());
    canonical.add(key, std::move(result->canonical));
    return std::move(result->part);
  }

  FileErrors errors;

 private:
  template <typename T>
  std::optional<T> gather(const FileErrors& found) {
    errors.insert(errors.end(), found.begin(), found.end());
    return std::nullopt;
  }

  const Catalogue& catalogue_;
  Complaints& kit_complaints_;
};

void read_cable_files(KitParts& parts, KitFile& kit_file, Canonical& canonical) {
  Canonical cables;
  for (const auto& [designator, named] : kit_file.cables) {
    auto cable = parts.read<Cable>(named, kCableKind, read_cable, cables, designator);
    if (cable) kit_file.kit.cables.emplace(designator, std::move(*cable));
  }
  canonical.add("cables", std::move(cables));
}

}  // namespace

Loaded<Kit> load_kit(std::string_view id_or_path, const Catalogue& catalogue) {
  const auto path = resolve(id_or_path, catalogue, kKitKind);
  if (!path) return tl::unexpected(path.error());
  const auto file = read_source(*path);
  if (!file) return tl::unexpected(file.error());
  const auto root = parse_toml(*file);
  if (!root) return tl::unexpected(root.error());

  Complaints complaints(*file);
  KitFile kit_file;
  Canonical canonical;
  canonical.add("schema", Canonical::of(kSchemaVersion));
  TableReader table(*root, "the file", complaints);
  read_kit(table, *file, kit_file);
  canonical.add("kit", table.finish());

  KitParts parts(catalogue, complaints);
  Kit& kit = kit_file.kit;
  auto panel = parts.read<Panel>(kit_file.panel, kPanelKind, read_panel, canonical, "panel");
  auto board = parts.read<Board>(kit_file.board, kBoardKind, read_board, canonical, "board");
  auto supply = parts.read<Supply>(kit_file.supply, kSupplyKind, read_supply, canonical, "supply");
  kit.keypad = parts.read<Keypad>(kit_file.keypad, kKeypadKind, read_keypad, canonical, "keypad");
  read_cable_files(parts, kit_file, canonical);
  if (board) check_kit(complaints, kit_file, *board);

  FileErrors errors = complaints.take();
  errors.insert(errors.end(), parts.errors.begin(), parts.errors.end());
  if (!errors.empty()) return tl::unexpected(std::move(errors));
  kit.panel = std::move(*panel);
  kit.board = std::move(*board);
  kit.supply = std::move(*supply);
  kit.digest = digest(canonical);
  return std::move(kit);
}

Loaded<Panel> load_panel(std::string_view id_or_path, const Catalogue& catalogue) {
  return load_part<Panel>(id_or_path, catalogue, kPanelKind, read_panel);
}

Loaded<Board> load_board(std::string_view id_or_path, const Catalogue& catalogue) {
  return load_part<Board>(id_or_path, catalogue, kBoardKind, read_board);
}

std::vector<std::string> kit_ids(const Catalogue& catalogue) {
  return part_ids(catalogue, kKitKind);
}

}  // namespace host::model
