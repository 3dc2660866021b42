#include "sim/unit/truth.hpp"

#include "sim/unit/unit.hpp"

namespace sim::unit {

using fault::Kind;

Truth Unit::truth() const {
  Truth truth;
  const auto& straps = setup_.kit.board.straps;
  for (std::size_t i = 0; i < straps.size(); ++i) {
    truth.straps.emplace_back(straps[i].id, host::model::to_text(straps[i], setup_.straps[i]));
  }
  truth.faults = wrongs_.list();
  if (circuit_.supply().destroyed()) truth.damaged.emplace_back("board input");
  if (circuit_.panel().damaged() || wrongs_.has(Kind::kPanelLogicDead))
    truth.damaged.emplace_back("panel logic");
  if (circuit_.light().damaged() || wrongs_.has(Kind::kBacklightDriverDead)) {
    truth.damaged.emplace_back("backlight driver");
  }
  return truth;
}

}  // namespace sim::unit
