#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "host/model/catalogue.hpp"

namespace host::model {

/// A kind of file, by its folder and by what people call it.
struct PartKind {
  std::string_view folder;  // "panels"
  std::string_view noun;    // "panel"
};

inline constexpr PartKind kPanelKind{"panels", "panel"};
inline constexpr PartKind kBoardKind{"boards", "board"};
inline constexpr PartKind kCableKind{"cables", "cable"};
inline constexpr PartKind kSupplyKind{"supplies", "supply"};
inline constexpr PartKind kKeypadKind{"keypads", "keypad"};
inline constexpr PartKind kKitKind{"kits", "kit"};

/// Path of the first folder's file for an id; nothing when no folder has it.
[[nodiscard]] std::optional<std::string> find_part(const Catalogue& catalogue, const PartKind& kind,
                                                   std::string_view id);

/// Ids of that kind in every folder, sorted, each once.
[[nodiscard]] std::vector<std::string> part_ids(const Catalogue& catalogue, const PartKind& kind);

/// Path for an id or a path. Errors: kMissing, with the nearest id and the list of ids.
[[nodiscard]] Loaded<std::string> resolve(std::string_view id_or_path, const Catalogue& catalogue,
                                          const PartKind& kind);

/// "did you mean 'slate'? panels: basalt, slate".
[[nodiscard]] std::string part_hint(std::string_view id, const Catalogue& catalogue, const PartKind& kind);

}  // namespace host::model
