#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "host/model/error.hpp"
#include "host/model/kit.hpp"

namespace host::model {

/// Folders that hold panels/, boards/, cables/, supplies/, keypads/ and kits/, the first that has a file
/// wins.
using Catalogue = std::vector<std::string>;

/// Loads a kit and every file it names, and checks what can be checked without computing anything.
///
/// Takes    an id ("stop-display"), or a path (it contains "/" or ends in ".toml"). A command reads only the
///          files its kit names.
/// Returns  the kit with its digest, or every error of every file at once, each with file, line and column.
/// Errors   kMissing names the nearest kit there is; kMalformed for bad TOML, unknown keys (nearest name),
///          wrong units, values out of order, contradictory or impossible rows, unknown ids, files over
///          1 MiB, nesting deeper than 32, strings longer than 256.
[[nodiscard]] Loaded<Kit> load_kit(std::string_view id_or_path, const Catalogue& catalogue);

/// Loads one file of its kind by id or path: the pieces of load_kit, for commands that need only one.
[[nodiscard]] Loaded<Panel> load_panel(std::string_view id_or_path, const Catalogue& catalogue);
[[nodiscard]] Loaded<Board> load_board(std::string_view id_or_path, const Catalogue& catalogue);

/// Ids of all kits the catalogue holds, sorted.
[[nodiscard]] std::vector<std::string> kit_ids(const Catalogue& catalogue);

}  // namespace host::model
