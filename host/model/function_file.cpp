#include <algorithm>

#include "host/model/nearest.hpp"
#include "host/model/part_file.hpp"
#include "host/model/row_conflict.hpp"
#include "host/model/words.hpp"

namespace host::model {
namespace {

void read_raster(TableReader& table, RasterRow& row) {
  table.must_pair("raster", 'x', row.columns, row.lines, {.min = 1, .max = 32'767});
  table.must_whole("channels", row.channels, 1, 4);
  table.must_whole("bits", row.bits, 18, 30);
  if (row.bits % 6 != 0) table.complain("bits", "is " + std::to_string(row.bits), "write 18, 24 or 30");
}

template <typename T>
void read_as(TableReader& table, FunctionValue& value) {
  T read{};
  if constexpr (std::is_same_v<T, Millivolts>) {
    table.must("value", read);
  } else if constexpr (std::is_same_v<T, RasterRow>) {
    table.must_table("value", [&](TableReader& raster) { read_raster(raster, read); });
  } else {
    table.must("value", read, words_for<T>());
  }
  value = read;
}

void read_value(TableReader& table, FunctionId id, FunctionValue& value) {
  switch (id) {
    case FunctionId::kPanelSupply:
    case FunctionId::kLightSupply:
    case FunctionId::kLightEnable: return read_as<Millivolts>(table, value);
    case FunctionId::kDimmingSense: return read_as<DimmingSense>(table, value);
    case FunctionId::kBitMapping: return read_as<Mapping>(table, value);
    case FunctionId::kRasterRow: return read_as<RasterRow>(table, value);
    case FunctionId::kKeypadPower: return read_as<Toggle>(table, value);
    case FunctionId::kScanDirection: return read_as<ScanDirection>(table, value);
  }
}

std::size_t index_of(const Board& board, std::string_view id) {
  const auto found =
      std::find_if(board.straps.begin(), board.straps.end(), [&](const Strap& one) { return one.id == id; });
  return static_cast<std::size_t>(found - board.straps.begin());
}

/// One strap of a row, with one pattern or a list of equivalent ones.
void read_setting(TableReader& table, const std::string& id, const Board& board, FunctionRow& row) {
  FunctionRow::Setting setting{.strap = index_of(board, id), .patterns = {}};
  const auto texts = table.texts(id, true);
  if (setting.strap == board.straps.size()) {
    std::vector<std::string_view> ids;
    ids.reserve(board.straps.size());
    for (const Strap& strap : board.straps) ids.push_back(strap.id);
    table.complaints().add(table.node().find(id)->key_place, "this board has no strap '" + id + "'",
                           nearest_hint(id, ids, "straps"));
    return;
  }
  for (const auto& [text, place] : texts) {
    const auto pattern = parse_pattern(board.straps[setting.strap], text);
    if (pattern) {
      setting.patterns.push_back(*pattern);
    } else {
      table.complaints().add(place, pattern.error());
    }
  }
  if (texts.empty()) table.complain(id, "expects a position in double quotes, or a list of them");
  if (!setting.patterns.empty()) row.settings.push_back(std::move(setting));
}

void read_row(TableReader& table, const Board& board, FunctionId id, FunctionRow& row) {
  row.place = table.place();
  read_value(table, id, row.value);
  table.must_table("straps", [&](TableReader& straps) {
    for (const TomlNode& item : straps.node().items) read_setting(straps, item.key, board, row);
    if (straps.node().items.empty()) {
      straps.complaints().add(straps.place(), "a row names no strap", "name at least one");
    }
  });
  std::sort(row.settings.begin(), row.settings.end(),
            [](const auto& a, const auto& b) { return a.strap < b.strap; });
}

std::string at_line(Place place) {
  return "line " + std::to_string(place.line);
}

void check_rows(TableReader& table, const Board& board, const Function& function) {
  for (std::size_t n = 0; n < function.rows.size(); ++n) {
    for (std::size_t before = 0; before < n; ++before) {
      const FunctionRow& one = function.rows[before];
      const FunctionRow& other = function.rows[n];
      if (one.value == other.value || one.settings.empty() || other.settings.empty()) continue;
      const auto position = shared_position(board.straps, one, other);
      if (!position) continue;
      table.complaints().add(other.place,
                             "contradicts the row in " + at_line(one.place) + ": " + *position +
                                 " would select both " + to_text(one.value) + " and " + to_text(other.value),
                             "let each position select one value of " + std::string(to_text(function.id)));
    }
  }
}

}  // namespace

void read_functions(TableReader& table, Board& board) {
  table.may_tables("function", [&](TableReader& reader) {
    Function function;
    function.place = reader.place();
    const std::size_t known = words_for<FunctionId>().size();
    auto id = static_cast<FunctionId>(known);  // stays so when the file's word is none
    reader.must("id", id, words_for<FunctionId>());
    if (static_cast<std::size_t>(id) == known) {
      static_cast<void>(reader.take("rows", false));
      return;
    }
    function.id = id;
    if (board.function(id) != nullptr) {
      reader.complain("id", "'" + std::string(to_text(id)) + "' is listed twice",
                      "put all rows into the function in " + at_line(board.function(id)->place));
    }
    const std::size_t errors_before = reader.complaints().count();
    reader.must_tables("rows", [&](TableReader& rows) {
      FunctionRow row;
      read_row(rows, board, id, row);
      function.rows.push_back(std::move(row));
    });
    if (reader.complaints().count() == errors_before) check_rows(reader, board, function);
    board.functions.push_back(std::move(function));
  });
}

}  // namespace host::model
