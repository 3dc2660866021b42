#include "host/verify/inference.hpp"

#include <algorithm>
#include <cstddef>

#include "host/verify/strap_readings.hpp"

namespace host::verify {
namespace {

using model::Position;

constexpr std::size_t kJointPositionsMax = 65536;

bool is_in(const std::vector<Position>& positions, Position position) {
  return std::find(positions.begin(), positions.end(), position) != positions.end();
}

// The joint positions of a few straps, one after another, as an odometer counts.
class Odometer {
 public:
  Odometer(const model::Board& board, std::vector<std::size_t> straps)
      : straps_{std::move(straps)}, at_(straps_.size(), 0) {
    for (const std::size_t strap : straps_) positions_.push_back(model::positions(board.straps[strap]));
  }

  [[nodiscard]] bool too_many() const {
    std::size_t count = 1;
    for (const auto& positions : positions_) {
      count *= positions.size();
      if (count > kJointPositionsMax) return true;
    }
    return false;
  }

  void show(expect::JointPosition& joint) const {
    for (std::size_t i = 0; i < straps_.size(); ++i) joint[straps_[i]] = positions_[i][at_[i]];
  }

  bool advance() {
    for (std::size_t i = 0; i < straps_.size(); ++i) {
      if (++at_[i] < positions_[i].size()) return true;
      at_[i] = 0;
    }
    return false;
  }

 private:
  std::vector<std::size_t> straps_;
  std::vector<std::vector<Position>> positions_;
  std::vector<std::size_t> at_;
};

std::vector<std::size_t> unknown_straps(const model::Function& function, const expect::JointPosition& known) {
  std::vector<std::size_t> straps = straps_of(function);
  std::erase_if(straps, [&](std::size_t strap) { return known[strap].has_value(); });
  return straps;
}

void narrow(std::optional<std::vector<Position>>& possible, std::vector<Position> found) {
  if (possible) {
    std::erase_if(*possible, [&](Position position) { return !is_in(found, position); });
  } else {
    possible = std::move(found);
  }
}

}  // namespace

Inference infer(const model::Board& board, const expect::JointPosition& known,
                const std::vector<std::optional<Consequence>>& consequences) {
  Inference inference;
  inference.possible.resize(board.straps.size());
  inference.contradicted.assign(board.functions.size(), false);
  for (std::size_t f = 0; f < board.functions.size(); ++f) {
    if (!consequences[f] || consequences[f]->fits.empty()) continue;
    const auto& fits = consequences[f]->fits;
    const std::vector<std::size_t> straps = unknown_straps(board.functions[f], known);
    Odometer odometer{board, straps};
    if (odometer.too_many()) continue;

    std::vector<std::vector<Position>> found(straps.size());
    bool any = false;
    expect::JointPosition joint = known;
    do {
      odometer.show(joint);
      const expect::Selection selection = expect::select(board, board.functions[f], joint);
      if (!selection.value || std::find(fits.begin(), fits.end(), *selection.value) == fits.end()) continue;
      any = true;
      for (std::size_t i = 0; i < straps.size(); ++i) {
        const Position position = *joint[straps[i]];
        if (!is_in(found[i], position)) found[i].push_back(position);
      }
    } while (odometer.advance());

    inference.contradicted[f] = !any;
    if (!any) continue;
    for (std::size_t i = 0; i < straps.size(); ++i) {
      narrow(inference.possible[straps[i]], std::move(found[i]));
    }
  }
  return inference;
}

}  // namespace host::verify
