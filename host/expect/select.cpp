#include <algorithm>

#include "host/expect/rows.hpp"

namespace host::expect {
namespace {

using model::FunctionValue;

// Joint positions of the unknown straps of one function that are looked at one by one; beyond, every row that
// the known straps leave open counts as possible.
constexpr std::size_t kJointCountMax = std::size_t{1} << 20;

void add_once(std::vector<FunctionValue>& values, const FunctionValue& value) {
  if (std::ranges::find(values, value) == values.end()) values.push_back(value);
}

bool left_open(const model::FunctionRow& row, const JointPosition& joint) {
  return std::ranges::all_of(row.settings, [&](const model::FunctionRow::Setting& setting) {
    const auto& position = joint[setting.strap];
    return !position || std::ranges::any_of(setting.patterns, [&](model::Pattern pattern) {
      return pattern.matches(*position);
    });
  });
}

const model::FunctionRow* row_at(const model::Function& function, const JointPosition& joint) {
  for (const model::FunctionRow& row : function.rows) {
    if (matches(row, joint)) return &row;
  }
  return nullptr;
}

// Counts the unknown straps on by one; false after the last joint position.
bool advance(std::vector<std::size_t>& counters, const std::vector<std::vector<model::Position>>& choices) {
  for (std::size_t i = 0; i < counters.size(); ++i) {
    if (++counters[i] < choices[i].size()) return true;
    counters[i] = 0;
  }
  return false;
}

}  // namespace

std::vector<std::size_t> straps_of(const model::Function& function) {
  std::vector<std::size_t> straps;
  for (const model::FunctionRow& row : function.rows) {
    for (const auto& setting : row.settings) straps.push_back(setting.strap);
  }
  std::ranges::sort(straps);
  const auto repeated = std::ranges::unique(straps);
  straps.erase(repeated.begin(), repeated.end());
  return straps;
}

bool matches(const model::FunctionRow& row, const JointPosition& joint) {
  return std::ranges::all_of(row.settings, [&](const model::FunctionRow::Setting& setting) {
    const auto& position = joint[setting.strap];
    return position && std::ranges::any_of(setting.patterns, [&](model::Pattern pattern) {
             return pattern.matches(*position);
           });
  });
}

bool possible(const model::Strap& strap, model::Position position) {
  const unsigned bits = position.bits;
  if ((bits >> strap.bit_count()) != 0) return false;
  return strap.kind != model::StrapKind::kJumper || (bits & (bits << 1U)) == 0;
}

Selection select(const model::Board& board, const model::Function& function, const JointPosition& joint) {
  JointPosition whole = joint;
  whole.resize(board.straps.size());
  std::vector<std::size_t> unknown;
  std::vector<std::vector<model::Position>> choices;
  std::size_t joint_count = 1;
  for (const std::size_t strap : straps_of(function)) {
    if (whole[strap]) continue;
    unknown.push_back(strap);
    choices.push_back(positions(board.straps[strap]));
    if (joint_count <= kJointCountMax) joint_count *= choices.back().size();
  }
  Selection selection;
  if (joint_count > kJointCountMax) {
    for (const model::FunctionRow& row : function.rows) {
      if (left_open(row, whole)) add_once(selection.still_possible, row.value);
    }
    return selection;
  }
  bool undefined_somewhere = false;
  std::vector<std::size_t> counters(unknown.size(), 0);
  do {
    for (std::size_t i = 0; i < unknown.size(); ++i) whole[unknown[i]] = choices[i][counters[i]];
    const model::FunctionRow* row = row_at(function, whole);
    if (row == nullptr) {
      undefined_somewhere = true;
    } else {
      add_once(selection.still_possible, row->value);
    }
  } while (advance(counters, choices));
  if (selection.still_possible.empty()) {
    selection.state = Selection::State::kUndefined;
  } else if (selection.still_possible.size() == 1 && !undefined_somewhere) {
    selection.state = Selection::State::kValue;
    selection.value = selection.still_possible.front();
    selection.still_possible.clear();
  }
  return selection;
}

}  // namespace host::expect
