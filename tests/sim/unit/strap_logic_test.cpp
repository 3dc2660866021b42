#include "sim/unit/strap_logic.hpp"

#include <doctest/doctest.h>

#include "tests/sim/elm_kit.hpp"

using host::model::FunctionId;
using host::model::Mapping;
using host::model::Millivolts;
using host::model::RasterRow;
using sim::unit::Positions;
using sim::unit::Selected;
using tests::sim::elm_kit;
using tests::sim::kBr4;

namespace {

Selected select(FunctionId id, const Positions& positions) {
  const host::model::Board board = elm_kit().board;
  for (const auto& function : board.functions) {
    if (function.id == id) return sim::unit::evaluate(board, function, positions);
  }
  FAIL("no such function");
  return {};
}

bool selects(FunctionId id, const Positions& positions, const host::model::FunctionValue& value) {
  return select(id, positions).value == value;
}

// Positions in the order BR1, BR2, S1, BR3, BR4.
Positions with_br1(std::uint16_t bits) {
  return {{bits}, {2}, {2}, {0}, {0}};
}

}  // namespace

TEST_SUITE("sim/unit/strap_logic") {
  TEST_CASE("each cap of BR1 selects its voltage, and no cap selects none") {
    CHECK(selects(FunctionId::kPanelSupply, with_br1(0b001), Millivolts{3'300}));
    CHECK(selects(FunctionId::kPanelSupply, with_br1(0b010), Millivolts{5'000}));
    CHECK(selects(FunctionId::kPanelSupply, with_br1(0b100), Millivolts{12'000}));
    const Selected open = select(FunctionId::kPanelSupply, with_br1(0));
    CHECK_FALSE(open.value);
    CHECK(open.joined_by.empty());
  }

  TEST_CASE("two caps select no row, and tie two rails together") {
    const Selected both = select(FunctionId::kPanelSupply, with_br1(0b101));
    CHECK_FALSE(both.value);
    REQUIRE(both.joined_by.size() == 2);
    // 3.3 V and 12 V joined: neither converter can sink current, so the rail stands at the higher.
    CHECK(sim::unit::resolve(elm_kit(), with_br1(0b101)).panel_mv == 12'000.0);
  }

  TEST_CASE("ways that don't matter don't, and equivalent rows select the same") {
    const RasterRow large{{1280}, {800}, 1, 24};
    for (const unsigned spare : {0b0000U, 0b0100U, 0b1000U, 0b1100U}) {
      CAPTURE(spare);
      for (const unsigned code : {0b10U, 0b11U}) {
        const Positions positions{{2}, {2}, {static_cast<std::uint16_t>(code | spare)}, {0}, {0}};
        CHECK(selects(FunctionId::kRasterRow, positions, large));
      }
    }
  }

  TEST_CASE("a code of switches that no row has selects nothing and ties nothing together") {
    const Selected none = select(FunctionId::kRasterRow, {{2}, {2}, {0}, {0}, {0}});
    CHECK_FALSE(none.value);
    CHECK(none.joined_by.empty());
    CHECK_FALSE(sim::unit::resolve(elm_kit(), {{2}, {2}, {0}, {0}, {0}}).raster);
  }

  TEST_CASE("a row over two straps needs both") {
    host::model::Kit kit = elm_kit();
    // 12 V only with BR1 on 3-4 and BR4 capped as well.
    kit.board.functions[0].rows[2].settings.push_back({kBr4, {{1, 1}}});
    CHECK_FALSE(sim::unit::resolve(kit, {{4}, {2}, {2}, {0}, {0}}).panel_mv);
    CHECK(sim::unit::resolve(kit, {{4}, {2}, {2}, {0}, {1}}).panel_mv == 12'000.0);
  }

  TEST_CASE("what no strap selects comes from the board, the raster from the panel") {
    host::model::Kit kit = elm_kit();
    kit.board.functions.clear();
    kit.board.link.mapping = Mapping::kVesa24;
    const sim::unit::Selections made = sim::unit::resolve(kit, {{0}, {0}, {0}, {0}, {0}});
    CHECK(made.panel_mv == 3'300.0);  // the first of its choices
    CHECK(made.enable_mv == 3'300.0);
    CHECK(made.mapping == Mapping::kVesa24);
    CHECK((made.raster == RasterRow{{1280}, {800}, 1, 24}));
    CHECK(made.keypad);
  }
}
