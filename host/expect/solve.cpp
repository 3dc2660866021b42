#include <algorithm>
#include <bit>
#include <numeric>
#include <set>
#include <utility>

#include "host/expect/rows.hpp"

// A row asks of each strap it names one of a few patterns. So the joint positions that give every function
// one of its values are a union of boxes: one for each choice of a row a function and a pattern a strap, its
// side along a strap being the positions that match all the patterns chosen for that strap. The accepted
// positions of a strap are the union of the sides of the boxes that aren't empty: exact, and the work is
// bounded by what the rows say, not by how many ways a bank has.

namespace host::expect {
namespace {

using model::Pattern;

constexpr std::size_t kStepsMax = std::size_t{1} << 20;

using Key = std::pair<std::uint16_t, std::uint16_t>;

std::optional<Pattern> both(Pattern a, Pattern b) {
  if (((a.bits ^ b.bits) & a.care & b.care) != 0) return std::nullopt;
  return Pattern{static_cast<std::uint16_t>(a.care | b.care), static_cast<std::uint16_t>(a.bits | b.bits)};
}

// Straps that functions tie together, and those functions.
struct Component {
  std::vector<std::size_t> straps;
  std::vector<const ExpectedFunction*> wanted;
};

class Search {
 public:
  Search(const model::Board& board, const Component& component)
      : board_(board), component_(component), box_(board.straps.size()), sides_(board.straps.size()) {}

  void run() { choose_row(0); }

  // Nothing is accepted where the search was cut short: what isn't known to be right isn't.
  [[nodiscard]] bool solved() const { return !first_.empty() && steps_ <= kStepsMax; }
  [[nodiscard]] Pattern first(std::size_t strap) const { return first_[strap]; }
  // No box asks anything of it.
  [[nodiscard]] bool indifferent(std::size_t strap) const {
    return std::ranges::all_of(sides_[strap], [](Key side) { return side.first == 0; });
  }
  [[nodiscard]] bool accepts(std::size_t strap, model::Position position) const {
    return std::ranges::any_of(sides_[strap],
                               [&](Key side) { return Pattern{side.first, side.second}.matches(position); });
  }

 private:
  void choose_row(std::size_t index) {
    if (index == component_.wanted.size()) return take_box();
    const ExpectedFunction& wanted = *component_.wanted[index];
    const model::Function& function = *board_.function(wanted.id);
    for (const model::FunctionValue& value : wanted.accepted) {
      for (const model::FunctionRow& row : function.rows) {
        if (row.value == value) choose_patterns(index, row, 0);
      }
    }
  }

  void choose_patterns(std::size_t index, const model::FunctionRow& row, std::size_t setting_index) {
    if (++steps_ > kStepsMax) return;
    if (setting_index == row.settings.size()) return choose_row(index + 1);
    const auto& setting = row.settings[setting_index];
    const Pattern before = box_[setting.strap];
    for (const Pattern pattern : setting.patterns) {
      const auto narrowed = both(before, pattern);
      if (!narrowed) continue;
      box_[setting.strap] = *narrowed;
      choose_patterns(index, row, setting_index + 1);
    }
    box_[setting.strap] = before;
  }

  void take_box() {
    for (const std::size_t strap : component_.straps) {
      // A pattern of a bank always has a position; one of a jumper is one position, which caps may not allow.
      const bool empty = box_[strap].care != 0 && !possible(board_.straps[strap], {box_[strap].bits});
      if (empty) return;
    }
    if (first_.empty()) first_ = box_;
    for (const std::size_t strap : component_.straps)
      sides_[strap].insert({box_[strap].care, box_[strap].bits});
  }

  const model::Board& board_;
  const Component& component_;
  std::vector<Pattern> box_, first_;
  std::vector<std::set<Key>> sides_;
  std::size_t steps_ = 0;
};

std::vector<Component> components(const model::Board& board, std::span<const ExpectedFunction> wanted) {
  std::vector<std::size_t> root(board.straps.size());
  std::iota(root.begin(), root.end(), std::size_t{0});
  const auto find = [&root](std::size_t strap) {
    while (root[strap] != strap) strap = root[strap];
    return strap;
  };
  std::vector<std::pair<std::size_t, const ExpectedFunction*>> anchors;
  for (const ExpectedFunction& function : wanted) {
    if (!function.used || board.function(function.id) == nullptr) continue;
    const auto straps = straps_of(*board.function(function.id));
    if (straps.empty()) continue;
    for (const std::size_t strap : straps) root[find(strap)] = find(straps.front());
    anchors.emplace_back(straps.front(), &function);
  }
  std::vector<Component> result;
  std::vector<std::size_t> place(board.straps.size(), board.straps.size());
  for (const auto& [strap, function] : anchors) {
    std::size_t& at = place[find(strap)];
    if (at == board.straps.size()) {
      at = result.size();
      result.emplace_back();
    }
    result[at].wanted.push_back(function);
  }
  for (std::size_t strap = 0; strap < board.straps.size(); ++strap) {
    const std::size_t at = place[find(strap)];
    if (at < result.size()) result[at].straps.push_back(strap);
  }
  return result;
}

}  // namespace

std::vector<ExpectedStrap> solve(const model::Board& board, std::span<const ExpectedFunction> wanted) {
  std::vector<ExpectedStrap> straps(board.straps.size());
  for (std::size_t i = 0; i < straps.size(); ++i) {
    straps[i].strap = i;
    straps[i].required = false;
    straps[i].accepted = positions(board.straps[i]);
  }
  for (const model::Function& function : board.functions) {
    for (const std::size_t strap : straps_of(function)) straps[strap].functions.push_back(function.id);
  }
  for (const Component& component : components(board, wanted)) {
    Search search(board, component);
    search.run();
    for (const std::size_t strap : component.straps) {
      ExpectedStrap& expected = straps[strap];
      expected.required = !search.solved() || !search.indifferent(strap);
      if (search.solved()) expected.position = {search.first(strap).bits};
      std::erase_if(expected.accepted, [&](model::Position position) {
        return !search.solved() || !search.accepts(strap, position);
      });
    }
  }
  return straps;
}

}  // namespace host::expect
