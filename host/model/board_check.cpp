#include <algorithm>

#include "host/model/board_file.hpp"
#include "host/model/nearest.hpp"
#include "host/model/quantity_text.hpp"
#include "host/model/words.hpp"

namespace host::model {
namespace {

void check_connector(TableReader& table, const Board& board, std::string_view key, const std::string& id) {
  std::vector<std::string_view> ids;
  ids.reserve(board.connectors.size());
  for (const Connector& connector : board.connectors) ids.push_back(connector.id);
  if (id.empty() || std::find(ids.begin(), ids.end(), id) != ids.end()) return;
  table.complain(key, "names connector '" + id + "', which this board doesn't have",
                 nearest_hint(id, ids, "connectors"));
}

/// A thing is either stated or selected by straps, never both, never neither.
void check_said_once(TableReader& table, const Board& board, FunctionId id, bool stated,
                     const std::string& key) {
  const Function* function = board.function(id);
  const std::string name(to_text(id));
  if (stated && function != nullptr) {
    table.complaints().add(function->place, "straps select " + name + ", and " + key + " states it as well",
                           "take out one of the two");
  }
  if (!stated && function == nullptr) {
    table.complaints().add(table.place(), "nothing says what " + name + " is",
                           "state " + key + ", or add [[function]] id = \"" + name + "\"");
  }
}

void check_supply(TableReader& table, const Board& board, RailId rail_id, FunctionId function_id) {
  const Rail* rail = board.rail(rail_id);
  const Function* function = board.function(function_id);
  const std::string name(word_for(rail_id));
  if (rail == nullptr) {
    table.complaints().add(table.place(), "the board has no " + name + " rail",
                           "add [[rail]] id = \"" + name + "\"");
    return;
  }
  if (function == nullptr) {
    if (rail->choices.size() > 1) {
      table.complaints().add(
          table.place(), "nothing says which choice the " + name + " rail takes",
          "add [[function]] id = \"" + std::string(to_text(function_id)) + "\", or leave one choice");
    }
    return;
  }
  for (const FunctionRow& row : function->rows) {
    const Millivolts value = std::get<Millivolts>(row.value);
    if (value.count == 0 ||
        std::find(rail->choices.begin(), rail->choices.end(), value) != rail->choices.end()) {
      continue;
    }
    table.complaints().add(row.place,
                           "selects " + to_text(value) + ", which is no choice of the " + name + " rail",
                           "write one of the rail's choices, or add it to them");
  }
}

}  // namespace

void check_board(TableReader& table, const Board& board) {
  check_connector(table, board, "input_supply", board.input_supply.connector);
  check_connector(table, board, "service", board.service.connector);
  check_connector(table, board, "link", board.link.connector);
  check_connector(table, board, "light", board.light.connector);
  for (const VideoInput& input : board.inputs) check_connector(table, board, "input", input.connector);

  // With errors above, what follows would only repeat them.
  if (!table.complaints().empty()) return;
  check_supply(table, board, RailId::kPanel, FunctionId::kPanelSupply);
  check_supply(table, board, RailId::kLight, FunctionId::kLightSupply);
  if (board.rail(RailId::kLogic) == nullptr) {
    table.complaints().add(table.place(), "the board has no logic rail", "add [[rail]] id = \"logic\"");
  }
  if (board.rail(RailId::kKeypad) == nullptr && board.function(FunctionId::kKeypadPower) != nullptr) {
    table.complaints().add(board.function(FunctionId::kKeypadPower)->place,
                           "straps switch a keypad rail that the board doesn't have",
                           "add [[rail]] id = \"keypad\", or take the function out");
  }
  check_said_once(table, board, FunctionId::kBitMapping, board.link.mapping.has_value(), "link.mapping");
  check_said_once(table, board, FunctionId::kLightEnable, board.light.enable_high.has_value(),
                  "light.enable_high");
  check_said_once(table, board, FunctionId::kDimmingSense, board.light.sense.has_value(), "light.sense");
  if (board.function(FunctionId::kRasterRow) == nullptr) {
    table.complaints().add(table.place(), "nothing says which rasters the board drives",
                           "add [[function]] id = \"raster-row\"");
  }
}

}  // namespace host::model
