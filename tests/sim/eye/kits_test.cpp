#include <filesystem>
#include <string>

#include <doctest/doctest.h>

#include "host/model/catalogue.hpp"
#include "sim/eye/unit_scene.hpp"
#include "sim/eye/watch.hpp"
#include "sim/eye/wiring.hpp"
#include "sim/unit/edids.hpp"
#include "sim/unit/strap_search.hpp"
#include "tests/sim/elm_kit.hpp"
#include "tests/support/run_program.hpp"

namespace eye = sim::eye;
namespace model = host::model;
using protocol::base::milliseconds;
using sim::unit::Unit;

namespace {

std::vector<std::string> kits() {
  std::vector<std::string> ids;
  for (const auto& file :
       std::filesystem::directory_iterator(tests::support::source_path("host/catalog/kits"))) {
    ids.push_back(file.path().stem().string());
  }
  return ids;
}

model::Kit shipped(const std::string& id) {
  auto kit = model::load_kit(id, {tests::support::source_path("host/catalog")});
  REQUIRE(kit.has_value());
  return *std::move(kit);
}

}  // namespace

TEST_SUITE("sim/eye/kits") {
  TEST_CASE("every kit that is built right shows its picture, always") {
    REQUIRE(kits().size() >= 12);
    for (const std::string& id : kits()) {
      CAPTURE(id);
      const model::Kit kit = shipped(id);
      Unit unit{{kit, sim::unit::healthy_positions(kit).positions, sim::unit::settings_of(kit),
                 sim::unit::wanted_timing(kit), "T-0001", 1}};
      unit.advance(unit.now() + milliseconds(10'000));
      const eye::Seen seen = eye::seen(unit);
      CHECK(seen.screen == "picture");
      CHECK(seen.look == std::vector<std::string>{});
      CHECK(seen.when == "always");
    }
  }

  TEST_CASE("cables of the catalogue bring every pair of the mapping to its namesake, whatever the pins") {
    int followed = 0;
    for (const std::string& id : kits()) {
      CAPTURE(id);
      const model::Kit kit = shipped(id);
      if (kit.panel.link.kind != model::LinkKind::kLvds) continue;
      const auto path = eye::wired(kit);
      const int pairs = model::bits_per_pixel(kit.panel.link.mapping) / 6;
      for (int channel = 0; channel < kit.panel.link.channels; ++channel) {
        CHECK_FALSE(path.clock_open.at(static_cast<std::size_t>(channel)));
        CHECK_FALSE(path.clock_reversed.at(static_cast<std::size_t>(channel)));
        for (int pair = 0; pair < pairs; ++pair) {
          const auto from = path.at.at(static_cast<std::size_t>(channel)).at(static_cast<std::size_t>(pair));
          REQUIRE(from.has_value());
          CHECK(*from == host::signal::PairSource{channel, pair, false});
          ++followed;
        }
      }
    }
    CHECK(followed > 40);
  }

  TEST_CASE("two wires of a cable exchanged arrive reversed, two pairs exchanged arrive crossed") {
    model::Kit kit = shipped("platform-sign");
    for (auto& [name, cable] : kit.cables) {
      if (cable.far_family != kit.panel.link.connector) continue;
      model::Cable::Wire* minus = nullptr;
      model::Cable::Wire* plus = nullptr;
      for (model::Cable::Wire& wire : cable.wires) {
        if (wire.pair != "A1") continue;
        (minus == nullptr ? minus : plus) = &wire;
      }
      REQUIRE(plus != nullptr);
      std::swap(minus->far_pin, plus->far_pin);
    }
    const auto path = eye::wired(kit);
    CHECK(path.at[0][1] == host::signal::PairSource{0, 1, true});
    CHECK(path.at[0][0] == host::signal::PairSource{0, 0, false});
  }
}
