#include <array>
#include <cmath>
#include <functional>
#include <map>
#include <string_view>

#include <doctest/doctest.h>

#include "tests/sim/elm_kit.hpp"
#include "tests/sim/unit/fault_bench.hpp"

// Adds up what the samples say, apart from the solver: a current through a branch, times the voltage across
// it, times how long. By Tellegen's theorem the sum over all branches is nothing where currents balance at
// every node; a converter is two branches, whose sum is what it loses.

using protocol::base::milliseconds;
using sim::unit::Branch;
using sim::unit::BranchKind;
using sim::unit::kStep;
using sim::unit::Node;
using sim::unit::PowerSample;
using sim::unit::Unit;
using tests::sim::fault_setup;

namespace {

constexpr double kStepSeconds = 1e-4;
constexpr double kMicro = 1e-6;  // mV x mA

struct Account {
  double delivered_j = 0, taken_j = 0;
  std::map<std::string_view, double> by_branch;
  double unbalanced_ma = 0;  // the most at any node, at any time

  [[nodiscard]] double gap() const { return std::abs(delivered_j - taken_j) / delivered_j; }
};

using Tamper = std::function<void(PowerSample&)>;

void book(Account& account, const PowerSample& sample) {
  std::array<double, static_cast<std::size_t>(Node::kCount)> into{};
  for (std::size_t i = 0; i < sample.count; ++i) {
    const Branch& branch = sample.branches[i];
    const double joules = (sample.at(branch.from) - sample.at(branch.to)) * branch.ma * kMicro * kStepSeconds;
    if (branch.kind == BranchKind::kSource) {
      account.delivered_j -= joules;
    } else {
      account.taken_j += joules;
    }
    account.by_branch[branch.name] += joules;
    into[static_cast<std::size_t>(branch.to)] += branch.ma;
    into[static_cast<std::size_t>(branch.from)] -= branch.ma;
  }
  for (std::size_t node = 1; node < into.size(); ++node) {
    account.unbalanced_ma = std::max(account.unbalanced_ma, std::abs(into[node]));
  }
}

// A second of power-up with a picture from 0.43 s on, then the source goes and everything is switched off.
Account two_seconds(const Tamper& tamper, const sim::unit::UnitSetup& setup = fault_setup()) {
  Unit unit{setup};
  Account account;
  for (int step = 0; step < 20'000; ++step) {
    if (step == 10'000) unit.connect_source(std::nullopt);
    unit.advance(unit.now() + kStep);
    PowerSample sample = unit.branches();
    tamper(sample);
    book(account, sample);
  }
  return account;
}

Branch& named(PowerSample& sample, std::string_view name) {
  for (std::size_t i = 0; i < sample.count; ++i) {
    if (sample.branches[i].name == name) return sample.branches[i];
  }
  static Branch none;
  return none;
}

}  // namespace

TEST_SUITE("sim/unit/energy") {
  TEST_CASE("what the supply delivers is what the branches take, within a hundredth") {
    const Account account = two_seconds([](PowerSample&) {});
    CAPTURE(account.delivered_j);
    CAPTURE(account.taken_j);
    CHECK(account.gap() < 0.01);
    CHECK(account.unbalanced_ma < 1);
    // By hand. The board: 3 W, of which its converter's 80 % reach the logic, 2.4 W for all but the first 2
    // ms.
    CHECK(account.by_branch.at("board") == doctest::Approx(2.4 * 1.998).epsilon(0.01));
    // The light: 4.44 W from 0.43 s (boot, lock, rail, link, light: 152 + 3 + 25 + 250 ms) to 1 s.
    CHECK(account.by_branch.at("light") == doctest::Approx(4.44 * 0.57).epsilon(0.02));
    // The panel's 5 V: idle 100 mA for 28 ms, 280 mA until light and link are off at 1.25 s, idle 10 ms more.
    // A step that changes nothing yet is no reason to stop looking: the picture's current begins with the
    // link.
    CHECK(account.by_branch.at("panel") ==
          doctest::Approx(5 * (0.1 * 0.028 + 0.28 * 1.07 + 0.1 * 0.01)).epsilon(0.02));
  }

  TEST_CASE("so it is while a board without a source shows its message") {
    auto setup = fault_setup();
    setup.kit.board.message_for = host::model::Microseconds{5'000'000};
    setup.source.reset();
    const Account account = two_seconds([](PowerSample&) {}, setup);
    CHECK(account.gap() < 0.01);
    CHECK(account.unbalanced_ma < 1);
    // By hand: after a search of 1 s, rail, link and light from 1.33 s to 2 s.
    CHECK(account.by_branch.at("light") == doctest::Approx(4.44 * 0.67).epsilon(0.02));
    // Idle 100 mA for 28 ms, then black, 300 mA.
    CHECK(account.by_branch.at("panel") == doctest::Approx(5 * (0.1 * 0.028 + 0.3 * 0.92)).epsilon(0.02));
  }

  TEST_CASE("three planted leaks break the balance") {
    // A load that no branch tells of: 100 mA more out of the supply.
    CHECK(two_seconds([](PowerSample& sample) { named(sample, "supply").ma += 100; }).gap() > 0.01);
    // A converter that makes a tenth more than it is given.
    CHECK(two_seconds([](PowerSample& sample) { named(sample, "light converter").ma *= 0.9; }).gap() > 0.01);
    // A rail that reads a tenth lower than it is, under the same current.
    CHECK(two_seconds([](PowerSample& sample) {
            sample.mv[static_cast<std::size_t>(Node::kLightOut)] *= 0.9;
            named(sample, "light fuse").ma = 0;  // else the drop would take up what the load doesn't
          }).gap() > 0.01);
  }

  TEST_CASE("a converter gives its efficiency, and a resistance drops what Ohm says") {
    Unit unit{fault_setup()};
    tests::sim::live(unit, milliseconds(5'000));
    PowerSample sample = unit.branches();
    double in_mw = 0, out_mw = 0;
    for (std::size_t i = 0; i < sample.count; ++i) {
      const Branch& branch = sample.branches[i];
      if (branch.kind == BranchKind::kConverterIn) in_mw += sample.at(branch.from) * branch.ma / 1'000;
      if (branch.kind == BranchKind::kConverterOut) out_mw += sample.at(branch.to) * branch.ma / 1'000;
    }
    CHECK(out_mw / in_mw == doctest::Approx(0.8).epsilon(1e-6));
    // 280 mA x 25 mOhm = 7 mV.
    CHECK(sample.at(Node::kPanelSelected) - sample.at(Node::kPanelOut) == doctest::Approx(7).epsilon(0.001));
    // (5 x 0.28 + 12 x 0.37028) / 0.8 + 3 = 10.304 W at 24 V: 429.5 mA x 15 mOhm = 6.4 mV.
    CHECK(sample.at(Node::kSource) - sample.at(Node::kInput) == doctest::Approx(6.44).epsilon(0.005));
  }
}
