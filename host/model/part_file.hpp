#pragma once

#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "host/model/board.hpp"
#include "host/model/canonical.hpp"
#include "host/model/panel.hpp"
#include "host/model/parts.hpp"
#include "host/model/table_reader.hpp"

namespace host::model {

/// A part as its file describes it, and what that file adds to a digest.
template <typename T>
struct FromFile {
  T part;
  Canonical canonical;
};

/// One file a function. Errors: every one of the file, in its order.
[[nodiscard]] Loaded<FromFile<Panel>> read_panel(const SourceFile& file);
[[nodiscard]] Loaded<FromFile<Board>> read_board(const SourceFile& file);
[[nodiscard]] Loaded<FromFile<Cable>> read_cable(const SourceFile& file);
[[nodiscard]] Loaded<FromFile<Supply>> read_supply(const SourceFile& file);
[[nodiscard]] Loaded<FromFile<Keypad>> read_keypad(const SourceFile& file);

// What they are made of.

/// [sources]: where single figures are taken from, by their keys.
void read_sources(TableReader& table, About& about);

/// title, revision, status, released_by, replaces, taken_from, sources.
void read_about(TableReader& table, const SourceFile& file, About& about);

/// Every [[connector]].
void read_connectors(TableReader& table, std::vector<Connector>& connectors);

/// A table of nets by pin: "7", or "1-3" for three pins with one net.
void read_nets(TableReader& nets, std::map<int, std::string>& named);

/// Every [[strap]]; then every [[function]], whose rows name those straps.
void read_straps(TableReader& table, std::vector<Strap>& straps);
void read_functions(TableReader& table, Board& board);

/// [points]: what isn't fitted, what evidence differs.
void read_points(TableReader& table, Board& board);
/// What to write in the place of a name that is no point.
[[nodiscard]] std::string point_hint(std::string_view name);

/// [wire] and every [[register]]: what a board that speaks no profile has where.
void read_registers(TableReader& table, Board& board);

/// Whether an id is this prefix and a number from 1, as "BR12" is for "BR".
[[nodiscard]] bool is_designator(std::string_view id, std::string_view prefix);

/// Parses a file, lets `read` take its keys, and complains of keys that it didn't take.
template <typename T, typename Read>
[[nodiscard]] Loaded<FromFile<T>> read_part(const SourceFile& file, Read read) {
  const auto root = parse_toml(file);
  if (!root) return tl::unexpected(root.error());
  Complaints complaints(file);
  TableReader table(*root, "the file", complaints);
  FromFile<T> result;
  read(table, result.part);
  result.canonical = table.finish();
  if (!complaints.empty()) return tl::unexpected(complaints.take());
  return result;
}

}  // namespace host::model
