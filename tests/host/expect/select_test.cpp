#include <doctest/doctest.h>

#include "host/expect/straps.hpp"
#include "tests/host/expect/kit.hpp"

using namespace host;
using expect::Selection;
using model::Millivolts;

TEST_SUITE("host/expect/select") {
  TEST_CASE("known straps select a value or nothing") {
    const auto kit = tests::sound_kit();
    const auto& supply = kit.board.functions[0];
    for (const auto& [text, millivolts] : {std::pair{"1-2", 3300}, {"2-3", 5000}, {"3-4", 12'000}}) {
      const auto selection =
          expect::select(kit.board, supply, tests::position_of(kit.board, {{"BR1", text}}));
      REQUIRE(selection.state == Selection::State::kValue);
      CHECK(*selection.value == model::FunctionValue{Millivolts{millivolts}});
    }
    for (const char* text : {"open", "1-2+3-4"}) {
      CHECK(expect::select(kit.board, supply, tests::position_of(kit.board, {{"BR1", text}})).state ==
            Selection::State::kUndefined);
    }
  }

  TEST_CASE("an unknown strap leaves open what it can select") {
    const auto kit = tests::sound_kit();
    const auto selection = expect::select(kit.board, kit.board.functions[0], {});
    CHECK(selection.state == Selection::State::kOpen);
    CHECK_FALSE(selection.value);
    CHECK(selection.still_possible.size() == 3);
  }

  TEST_CASE("an unknown strap that makes no difference leaves nothing open") {
    auto kit = tests::sound_kit();
    // 12 V by BR1 whatever BR2 is; 5 V with BR2 too.
    auto& rows = kit.board.functions[0].rows;
    rows[1].settings.push_back({1, {*parse_pattern(kit.board.straps[1], "1-2")}});
    const auto twelve =
        expect::select(kit.board, kit.board.functions[0], tests::position_of(kit.board, {{"BR1", "3-4"}}));
    CHECK(twelve.state == Selection::State::kValue);
    const auto five =
        expect::select(kit.board, kit.board.functions[0], tests::position_of(kit.board, {{"BR1", "2-3"}}));
    CHECK(five.state == Selection::State::kOpen);
    CHECK(five.still_possible.size() == 1);
  }

  TEST_CASE("more unknown positions than can be looked at leave every row that isn't excluded") {
    model::Board board;
    board.straps.resize(3);
    for (auto& strap : board.straps) {
      strap.kind = model::StrapKind::kSwitches;
      strap.count = 12;
    }
    board.functions.resize(1);
    for (const std::uint16_t bits : {std::uint16_t{0}, std::uint16_t{1}}) {
      board.functions[0].rows.push_back(
          {Millivolts{bits}, {{0, {{1, bits}}}, {1, {{0xFFF, 0}}}, {2, {{0xFFF, 0}}}}, {}});
    }
    expect::JointPosition joint(3);
    CHECK(expect::select(board, board.functions[0], joint).still_possible.size() == 2);
    joint[0] = model::Position{1};
    board.straps[1].count = 12;
    const auto selection = expect::select(board, board.functions[0], joint);
    CHECK(selection.state == Selection::State::kOpen);
    REQUIRE(selection.still_possible.size() == 1);
    CHECK(selection.still_possible[0] == model::FunctionValue{Millivolts{1}});
  }
}
