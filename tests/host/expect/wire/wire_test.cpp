#include <cmath>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

#include <doctest/doctest.h>

#include "host/expect/wire/drop.hpp"

using namespace host;
using namespace host::expect::wire;

namespace {

constexpr model::Millidegrees kTwenty{20'000};
constexpr model::Micrometres kKilometre{1'000'000'000};

Gauge gauge(const char* text) {
  const auto parsed = parse_gauge(text);
  REQUIRE(parsed);
  return *parsed;
}

double ohm_per_km(const Gauge& one, model::Millidegrees temperature = kTwenty) {
  return static_cast<double>(resistance(one, kKilometre, temperature).count) / 1e6;
}

}  // namespace

TEST_SUITE("host/expect/wire") {
  TEST_CASE("diameter and resistance are those of the standards' tables") {
    const char* source = std::getenv("STRAPLINE_SOURCE");
    std::ifstream file(std::string(source != nullptr ? source : ".") + "/tests/vectors/wire-resistance.csv");
    std::string line;
    int rows = 0;
    REQUIRE(std::getline(file, line));
    while (std::getline(file, line)) {
      CAPTURE(line);
      std::istringstream cells(line);
      std::string name;
      std::string diameter;
      std::string ohms;
      std::getline(cells, name, ',');
      std::getline(cells, diameter, ',');
      std::getline(cells, ohms, ',');
      const Gauge one = gauge(name.c_str());
      // The tables round to four figures, the last of which may be off by one.
      CHECK(ohm_per_km(one) == doctest::Approx(std::stod(ohms)).epsilon(0.0005));
      if (!diameter.empty()) {
        CHECK(std::abs(static_cast<double>(diameter_nm(one.size)) / 1000 - std::stod(diameter)) <= 0.06);
      }
      ++rows;
    }
    CHECK(rows == 22);
  }

  TEST_CASE("copper follows its temperature by 0.393 % a kelvin") {
    // 1 + 0.00393 (T - 20): -20 °C 0.8428, 0 °C 0.9214, 60 °C 1.1572, 85 °C 1.25545.
    const double cold = ohm_per_km(gauge("AWG 24"));
    CHECK(ohm_per_km(gauge("AWG 24"), {-20'000}) / cold == doctest::Approx(0.8428).epsilon(1e-6));
    CHECK(ohm_per_km(gauge("AWG 24"), {0}) / cold == doctest::Approx(0.9214).epsilon(1e-6));
    CHECK(ohm_per_km(gauge("AWG 24"), {60'000}) / cold == doctest::Approx(1.1572).epsilon(1e-6));
    CHECK(ohm_per_km(gauge("AWG 24"), {85'000}) / cold == doctest::Approx(1.25545).epsilon(1e-6));
  }

  TEST_CASE("below the smallest size of the standard a wire counts as 16 % worse than its copper") {
    // 17.241 / 0.25 x 1.16 = 79.998; 17.241 / 0.34 x 1.16 = 58.822 ohm per km.
    CHECK(ohm_per_km(gauge("0.25 mm²")) == doctest::Approx(79.998).epsilon(1e-5));
    CHECK(ohm_per_km(gauge("0.34 mm2")) == doctest::Approx(58.822).epsilon(1e-5));
  }

  TEST_CASE("a worked drop: 2 A through 0.6 m and back at 60 °C") {
    // AWG 22: 52.96 mΩ/m x 1.2 m x 1.1572 = 73.54 mΩ, x 2 A = 147.1 mV; 24: 233.9; 26: 371.9; 28: 591.3.
    // Four contacts of 10 mΩ add 80 mV.
    const std::pair<const char*, double> worked[] = {
        {"AWG 22", 147.1}, {"AWG 24", 233.9}, {"AWG 26", 371.9}, {"AWG 28", 591.3}};
    for (const auto& [name, millivolts] : worked) {
      CAPTURE(name);
      const Microhms one = resistance(gauge(name), {600'000}, kInside);
      const Microhms bare = side_by_side({one}, {0}) + side_by_side({one}, {0});
      CHECK(static_cast<double>(drop({2000}, bare).count) == doctest::Approx(millivolts).epsilon(0.007));
      const Microhms whole = side_by_side({one}, {10'000}) + side_by_side({one}, {10'000});
      CHECK(whole.count - bare.count == 40'000);
      CHECK(drop({2000}, {40'000}).count == 80);
    }
  }

  TEST_CASE("wires side by side share the current") {
    // (60 + 2 x 20) mΩ three times: 33.3 mΩ; 100 and 300 mΩ: 75 mΩ.
    CHECK(side_by_side({{60'000}, {60'000}, {60'000}}, kContact).count == 33'334);
    CHECK(side_by_side({{60'000}, {260'000}}, kContact).count == 75'000);
    CHECK(side_by_side({}, kContact).count == 0);
  }

  TEST_CASE("a load of constant power draws more the more drops") {
    // 24 W from 12 V through 0.5 Ω: (12 + sqrt(144 - 48)) / 2 = 10.899 V, at which 2.202 A drop 1.101 V.
    CHECK(at_load({12'000}, {24'000}, {500'000}).count == 10'898);
    CHECK(at_load({12'000}, {24'000}, {0}).count == 12'000);
    // Beyond V² / 4 R = 72 W nothing settles.
    CHECK(at_load({12'000}, {72'000}, {500'000}).count == 6'000);
    CHECK(at_load({12'000}, {72'001}, {500'000}).count == 0);
  }

  TEST_CASE("what is no gauge is refused in a sentence") {
    for (const char* text : {"", "AWG", "AWG -1", "AWG 41", "AWG 26x", "26", "0 mm2", "0.255 mm2", "99 mm2",
                             "-1 mm2", "0.2.5 mm2", "mm2", "AWG 99999999999"}) {
      CAPTURE(text);
      const auto parsed = parse_gauge(text);
      REQUIRE_FALSE(parsed);
      CHECK(parsed.error().find("is meant") != std::string::npos);
    }
    CHECK(gauge("AWG26") == gauge(" AWG 26 "));
    CHECK(gauge("0.5 mm2") == Gauge{GaugeKind::kMetric, 50});
  }
}
