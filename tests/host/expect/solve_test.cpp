#include <algorithm>
#include <random>
#include <set>

#include <doctest/doctest.h>

#include "host/expect/straps.hpp"
#include "tests/host/expect/kit.hpp"

using namespace host;
using expect::ExpectedFunction;
using model::FunctionId;
using model::Millivolts;
using model::Pattern;
using model::Position;

namespace {

constexpr std::array kFunctionIds = {FunctionId::kPanelSupply, FunctionId::kLightSupply,
                                     FunctionId::kLightEnable};

model::Strap random_strap(std::mt19937& random, int number) {
  model::Strap strap;
  strap.id = "BR" + std::to_string(number);
  strap.kind = random() % 2 == 0 ? model::StrapKind::kJumper : model::StrapKind::kSwitches;
  strap.count = static_cast<std::uint16_t>(strap.kind == model::StrapKind::kJumper ? 2 + random() % 3
                                                                                   : 1 + random() % 3);
  return strap;
}

// Any pattern a file could hold; a jumper's is one position, now and then one that no cap allows.
Pattern random_pattern(std::mt19937& random, const model::Strap& strap) {
  const auto all = static_cast<std::uint16_t>((1U << strap.bit_count()) - 1U);
  const bool jumper = strap.kind == model::StrapKind::kJumper;
  const auto care = jumper ? all : static_cast<std::uint16_t>(random() & all);
  return {care, static_cast<std::uint16_t>(random() & care)};
}

model::Board random_board(std::mt19937& random) {
  model::Board board;
  const int straps = 1 + static_cast<int>(random() % 3);
  for (int i = 0; i < straps; ++i) board.straps.push_back(random_strap(random, i));
  for (const FunctionId id : kFunctionIds) {
    model::Function function;
    function.id = id;
    const auto rows = 1 + random() % 4;
    for (std::size_t r = 0; r < rows; ++r) {
      model::FunctionRow row;
      row.value = Millivolts{static_cast<std::int64_t>(random() % 3)};
      for (std::size_t s = 0; s < board.straps.size(); ++s) {
        if (random() % 2 == 0) continue;
        model::FunctionRow::Setting setting{s, {}};
        for (std::size_t p = 0; p <= random() % 2; ++p)
          setting.patterns.push_back(random_pattern(random, board.straps[s]));
        row.settings.push_back(setting);
      }
      function.rows.push_back(row);
    }
    board.functions.push_back(function);
  }
  return board;
}

// The value a function has at a whole joint position, by rows taken one after the other: every value some
// matching row names, since a random board may contradict itself and a right one never does.
std::set<std::int64_t> values_at(const model::Function& function, const std::vector<Position>& joint) {
  std::set<std::int64_t> values;
  for (const model::FunctionRow& row : function.rows) {
    bool all = true;
    for (const auto& setting : row.settings) {
      bool any = false;
      for (const Pattern pattern : setting.patterns) any = any || pattern.matches(joint[setting.strap]);
      all = all && any;
    }
    if (all) values.insert(std::get<Millivolts>(row.value).count);
  }
  return values;
}

}  // namespace

TEST_SUITE("host/expect/solve") {
  TEST_CASE("accepted positions are those of a search over every joint position") {
    constexpr unsigned kSeed = 20'240'607;
    MESSAGE("seed ", kSeed);
    std::mt19937 random(kSeed);
    int solved = 0;
    int unsolved = 0;
    for (int round = 0; round < 3000; ++round) {
      CAPTURE(round);
      const model::Board board = random_board(random);
      std::vector<ExpectedFunction> wanted;
      for (const FunctionId id : kFunctionIds) {
        ExpectedFunction expected;
        expected.id = id;
        expected.used = random() % 4 != 0;
        expected.accepted.emplace_back(Millivolts{static_cast<std::int64_t>(random() % 3)});
        if (random() % 2 == 0)
          expected.accepted.emplace_back(Millivolts{static_cast<std::int64_t>(random() % 3)});
        wanted.push_back(expected);
      }
      const auto straps = expect::solve(board, wanted);

      // Brute force: a joint position is right when every used function that has straps can be given a wanted
      // value. Straps that no used function depends on are free.
      std::vector<std::set<Position>> right(board.straps.size());
      std::vector<std::vector<Position>> choices;
      for (const auto& strap : board.straps) choices.push_back(positions(strap));
      std::vector<bool> tied(board.straps.size(), false);
      for (std::size_t f = 0; f < wanted.size(); ++f) {
        if (!wanted[f].used) continue;
        for (const auto& row : board.functions[f].rows) {
          for (const auto& setting : row.settings) tied[setting.strap] = true;
        }
      }
      std::vector<std::vector<Position>> joints = {{}};
      for (const auto& choice : choices) {
        std::vector<std::vector<Position>> longer;
        for (const auto& joint : joints) {
          for (const Position position : choice) {
            longer.push_back(joint);
            longer.back().push_back(position);
          }
        }
        joints = std::move(longer);
      }
      std::vector<std::vector<Position>> good;
      for (const auto& joint : joints) {
        bool all = true;
        for (std::size_t f = 0; f < wanted.size(); ++f) {
          const bool has_straps = std::ranges::any_of(board.functions[f].rows,
                                                      [](const auto& row) { return !row.settings.empty(); });
          if (!wanted[f].used || !has_straps) continue;
          const auto values = values_at(board.functions[f], joint);
          all = all && std::ranges::any_of(wanted[f].accepted, [&](const auto& value) {
                  return values.contains(std::get<Millivolts>(value).count);
                });
        }
        if (all) good.push_back(joint);
      }
      // Components are solved apart: one that has no solution leaves the others alone. Only boards where all
      // have one, or with a single component, can be compared joint by joint.
      if (good.empty()) {
        ++unsolved;
        bool some_empty = false;
        for (std::size_t s = 0; s < straps.size(); ++s)
          some_empty = some_empty || (tied[s] && straps[s].accepted.empty());
        CHECK(some_empty);
        continue;
      }
      ++solved;
      for (const auto& joint : good) {
        for (std::size_t s = 0; s < joint.size(); ++s) right[s].insert(joint[s]);
      }
      std::vector<Position> to_set;
      for (std::size_t s = 0; s < straps.size(); ++s) {
        CAPTURE(s);
        CHECK(std::set<Position>(straps[s].accepted.begin(), straps[s].accepted.end()) == right[s]);
        if (!straps[s].required) CHECK(straps[s].accepted == choices[s]);
        to_set.push_back(straps[s].position);
      }
      CHECK(std::ranges::find(good, to_set) != good.end());
    }
    CHECK(solved > 500);
    CHECK(unsolved > 500);
  }

  TEST_CASE("equivalent rows and ways that don't matter are all accepted, the first row is the one to set") {
    const model::Kit kit = tests::sound_kit();
    const auto expectation = tests::expectation_of(kit);
    CHECK(tests::accepted(kit.board, expectation.straps, "S1") == "0100 1100 0101");
    CHECK(to_text(kit.board.straps[5], expectation.straps[5].position) == "0100");
  }

  TEST_CASE("two functions on one strap narrow each other") {
    model::Kit kit = tests::sound_kit();
    // The mapping moves onto ways 3 and 4 of the bank that holds the raster: jeida-24 wants way 4 on.
    auto& rows = kit.board.functions[3].rows;
    const model::Strap& bank = kit.board.straps[5];
    rows[0].settings = {{5, {*parse_pattern(bank, "xx10")}}};
    rows[1].settings = {{5, {*parse_pattern(bank, "xx01")}}};
    rows[2].settings = {{5, {*parse_pattern(bank, "xx00")}}};
    const auto expectation = tests::expectation_of(kit);
    CHECK(tests::accepted(kit.board, expectation.straps, "S1") == "0101");
    CHECK_FALSE(expectation.straps[3].required);
    CHECK(tests::accepted(kit.board, expectation.straps, "BR4") == "open 1-2 2-3");
  }

  TEST_CASE("functions that no joint position serves together leave nothing accepted, and say so") {
    model::Kit kit = tests::sound_kit();
    const model::Strap& bank = kit.board.straps[5];
    kit.board.functions[3].rows[1].settings = {
        {5, {*parse_pattern(bank, "1xx1")}}};  // jeida-24: no 1280 x 800 there
    const auto expectation = tests::expectation_of(kit);
    CHECK(tests::accepted(kit.board, expectation.straps, "S1").empty());
    const auto* finding = tests::find(expectation.findings, model::FindingId::kNoRow);
    REQUIRE(finding != nullptr);
    CHECK(finding->subject == "functions.bit-mapping");
    CHECK(finding->consequence.find("bit-mapping, raster-row") != std::string::npos);
  }

  TEST_CASE("a strap alone accepted everywhere may still be bound jointly") {
    // Both straps together select the value: 1-2 with 1-2, or 2-3 with 2-3.
    model::Board board;
    board.straps.resize(2);
    for (auto& strap : board.straps) strap.count = 3;
    board.functions.resize(1);
    for (const char* position : {"1-2", "2-3"}) {
      const Pattern pattern = *parse_pattern(board.straps[0], position);
      board.functions[0].rows.push_back({Millivolts{5000}, {{0, {pattern}}, {1, {pattern}}}, {}});
    }
    ExpectedFunction wanted;
    wanted.accepted = {Millivolts{5000}};
    const auto straps = expect::solve(board, std::array{wanted});
    CHECK(straps[0].required);
    CHECK(straps[0].accepted.size() == 2);  // open isn't
    CHECK(straps[0].position == Position{1});
    CHECK(straps[1].position == Position{1});
  }

  TEST_CASE("a search that rows make too long accepts nothing rather than something") {
    // Eight functions on one bank of twelve ways, each with sixteen rows of the same value: 16^8 choices.
    model::Board board;
    board.straps.resize(1);
    board.straps[0].kind = model::StrapKind::kSwitches;
    board.straps[0].count = 12;
    std::vector<ExpectedFunction> wanted;
    for (int id = 0; id < 8; ++id) {
      model::Function function;
      function.id = static_cast<FunctionId>(id);
      for (int r = 0; r < 16; ++r) function.rows.push_back({Millivolts{1}, {{0, {Pattern{}}}}, {}});
      board.functions.push_back(function);
      wanted.emplace_back();
      wanted.back().id = function.id;
      wanted.back().accepted = {Millivolts{1}};
    }
    const auto straps = expect::solve(board, wanted);
    CHECK(straps[0].accepted.empty());
    CHECK(straps[0].required);
  }
}
