#include "sim/unit/strap_logic.hpp"

#include <algorithm>

namespace sim::unit {
namespace {

namespace model = host::model;
using model::FunctionId;

bool stands(const model::FunctionRow::Setting& setting, model::Position position) {
  return std::any_of(setting.patterns.begin(), setting.patterns.end(),
                     [position](model::Pattern pattern) { return pattern.matches(position); });
}

bool stands(const model::FunctionRow& row, const Positions& positions) {
  return std::all_of(row.settings.begin(), row.settings.end(),
                     [&](const auto& setting) { return stands(setting, positions[setting.strap]); });
}

// Every cap the row asks for is there, among others.
bool contained(const model::Board& board, const model::FunctionRow& row, const Positions& positions) {
  return std::all_of(row.settings.begin(), row.settings.end(), [&](const auto& setting) {
    if (board.straps[setting.strap].kind != model::StrapKind::kJumper) return false;
    const std::uint16_t caps = positions[setting.strap].bits;
    return std::any_of(setting.patterns.begin(), setting.patterns.end(), [caps](model::Pattern pattern) {
      return pattern.bits != 0 && (caps & pattern.bits) == pattern.bits;
    });
  });
}

// The chosen value of a function as T: of its straps, or `fixed` where the board has no such function.
template <typename T>
std::optional<T> chosen(const model::Board& board, FunctionId id, const Positions& positions,
                        std::optional<T> fixed) {
  for (const model::Function& function : board.functions) {
    if (function.id != id) continue;
    const Selected selected = evaluate(board, function, positions);
    if (!selected.value) return std::nullopt;
    const T* value = std::get_if<T>(&*selected.value);
    return value != nullptr ? std::optional{*value} : std::nullopt;
  }
  return fixed;
}

const model::Rail* rail_of(const model::Board& board, model::RailId id) {
  const auto at = std::find_if(board.rails.begin(), board.rails.end(),
                               [id](const model::Rail& rail) { return rail.id == id; });
  return at == board.rails.end() ? nullptr : &*at;
}

std::optional<double> rail_mv(const model::Board& board, FunctionId function, model::RailId id,
                              const Positions& positions) {
  const auto millivolts = [](const model::FunctionValue& value) {
    const auto* mv = std::get_if<model::Millivolts>(&value);
    return mv == nullptr ? 0.0 : static_cast<double>(mv->count);
  };
  for (const model::Function& candidate : board.functions) {
    if (candidate.id != function) continue;
    const Selected selected = evaluate(board, candidate, positions);
    if (selected.value) return millivolts(*selected.value);
    std::optional<double> highest;
    for (const auto& value : selected.joined_by) highest = std::max(highest.value_or(0), millivolts(value));
    return highest;
  }
  const model::Rail* rail = rail_of(board, id);
  if (rail == nullptr) return std::nullopt;
  return rail->choices.empty() ? 0.0 : static_cast<double>(rail->choices.front().count);
}

}  // namespace

Selected evaluate(const model::Board& board, const model::Function& function, const Positions& positions) {
  Selected selected;
  for (const model::FunctionRow& row : function.rows) {
    if (stands(row, positions)) {
      selected.value = row.value;
      selected.joined_by.clear();
      return selected;
    }
    const auto& joined = selected.joined_by;
    if (contained(board, row, positions) &&
        std::find(joined.begin(), joined.end(), row.value) == joined.end()) {
      selected.joined_by.push_back(row.value);
    }
  }
  if (selected.joined_by.size() < 2) selected.joined_by.clear();
  return selected;
}

Selections resolve(const model::Kit& kit, const Positions& positions) {
  const model::Board& board = kit.board;
  const model::Panel& panel = kit.panel;
  Selections made;
  made.panel_mv = rail_mv(board, FunctionId::kPanelSupply, model::RailId::kPanel, positions);
  made.light_mv = rail_mv(board, FunctionId::kLightSupply, model::RailId::kLight, positions);
  if (const auto enable =
          chosen<model::Millivolts>(board, FunctionId::kLightEnable, positions, board.light.enable_high)) {
    made.enable_mv = static_cast<double>(enable->count);
  }
  made.sense = chosen<model::DimmingSense>(board, FunctionId::kDimmingSense, positions, board.light.sense);
  made.mapping = chosen<model::Mapping>(board, FunctionId::kBitMapping, positions, board.link.mapping);
  const model::RasterRow own{panel.signal.raster_columns, panel.signal.raster_lines, panel.link.channels,
                             model::bits_per_pixel(panel.link.mapping)};
  made.raster = chosen<model::RasterRow>(board, FunctionId::kRasterRow, positions, std::optional{own});
  made.keypad = chosen<model::Toggle>(board, FunctionId::kKeypadPower, positions,
                                      std::optional{model::Toggle::kOn}) == model::Toggle::kOn;
  return made;
}

}  // namespace sim::unit
