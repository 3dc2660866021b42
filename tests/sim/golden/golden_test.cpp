#include <cstdlib>
#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

#include "host/model/catalogue.hpp"
#include "host/signal/find_timing.hpp"
#include "protocol/session/server.hpp"
#include "sim/unit/registers.hpp"
#include "sim/unit/strap_search.hpp"

// Whole exchanges, octet by octet, as they must go over the wire. Addresses, types and scales are those of
// REGISTERS.md; values were worked with a pencil from the data sheets' figures in host/catalog and the
// equations of sim/README.md, for a unit of nominal parts (seed 0) that has been on for ten seconds. The CRCs
// come from the bitwise division of MODBUS over Serial Line V1.02, 6.2.2 (8005h reflected, from FFFFh), in
// another language, which gives 41 12 for the octets 02 07 as printed there.

namespace {

namespace model = host::model;
using protocol::base::milliseconds;
using protocol::session::Step;
using Octets = std::vector<std::uint8_t>;

Octets octets(std::string_view hex) {
  Octets made;
  for (std::size_t at = 0; at + 1 < hex.size(); at += 3) {
    made.push_back(static_cast<std::uint8_t>(std::stoul(std::string{hex.substr(at, 2)}, nullptr, 16)));
  }
  return made;
}

model::Kit shipped(const char* id) {
  const char* source = std::getenv("STRAPLINE_SOURCE");  // NOLINT(concurrency-mt-unsafe): one thread
  const auto kit = model::load_kit(id, {std::string{source != nullptr ? source : "."} + "/host/catalog"});
  REQUIRE(kit.has_value());
  return *kit;
}

model::Timing source_of(const model::Kit& kit) {
  if (const auto* figures = std::get_if<model::Timing>(&kit.video.timing)) return *figures;
  const auto found = host::signal::find_timing(std::get<std::string>(kit.video.timing));
  REQUIRE(found.has_value());
  return *found;
}

// One unit of a kit, and what it answers to a request.
class Bench {
 public:
  explicit Bench(const model::Kit& kit) : Bench{kit, sim::unit::healthy_positions(kit).positions} {}

  Bench(const model::Kit& kit, const sim::unit::Positions& straps)
      : unit_{{kit, straps, sim::unit::settings_of(kit), source_of(kit), "SIM-000001", 0}},
        registers_{unit_},
        server_{{1, {115'200, 11}, {}}, registers_} {
    unit_.advance(unit_.now() + milliseconds(10'000));
  }

  Octets exchange(std::string_view request) {
    unit_.advance(unit_.now() + milliseconds(5));
    server_.received(octets(request), unit_.now());
    unit_.advance(unit_.now() + milliseconds(5));
    const Step step = server_.step(unit_.now());
    if (step.kind != Step::Kind::kSend) return {};
    return {step.octets.begin(), step.octets.end()};
  }

 private:
  sim::unit::Unit unit_;
  sim::unit::Registers registers_;
  protocol::session::Server server_;
};

}  // namespace

TEST_SUITE("sim/golden") {
  TEST_CASE("stop-display answers the octets that its figures give") {
    Bench bench{shipped("stop-display")};

    // straps at 100h.
    // BR2 3-4 (12 V) = bit 2; BR3 1-2 (vesa-24) = bit 0; BR4 open; BR6 2-3 (5 V) = bit 1; S1 1001xx = ways 1
    // and 4.
    CHECK(bench.exchange("01 04 01 00 00 05 31 F5") == octets("01 04 0A "
                                                              "00 04 00 01 00 00 00 02 00 09 "
                                                              "92 BB"));

    // rails at 140h.
    // Panel: (420 + 380) / 2 = 400 mA, x 25 mOhm = 10 mV: 11990; when its ramp ended idle, 250 mA: 11994
    // (11993.75). Light: duty 5 + 0.8 x 95 = 81 %; 18.5 W x 0.81 = 14.985 W; / 11.9687 V = 1252 mA, 31.3 mV:
    // 11969; 12000 unlit. Supply: (12 V x 0.4 A + 12 V x 1.25202 A) / 0.88 + 4.2 W = 26.7275 W;
    //   (24 + sqrt(24^2 - 0.06 x 26.7275)) / 2 = 23.98328 V; 26.7275 / 23.98328 = 1114 mA; 24000 before it
    //   started; lowest at the end of the panel's ramp, 2 A inrush and 250 mA idle: 12 V x 2.25 A / 0.88
    //   + 4.2 W = 34.88 W, 23.97818 V.
    // Keypad 5000, its current not fitted; no dips.
    CHECK(bench.exchange("01 04 01 40 00 15 31 ED") ==
          octets("01 04 2A "
                 "5D AF 5D AA 5D C0 04 5A 0C E4 0C E4 0C E4 2E E0 "
                 "2E D6 2E D6 2E DA 01 90 2E C1 2E C1 2E E0 04 E4 "
                 "13 88 13 88 13 88 FF FF 00 00 "
                 "90 3D"));

    // backlight at 180h.
    // Enable 5 V; 80 % asked for and given, limited by nothing; 200 Hz; 81.0 %.
    CHECK(bench.exchange("01 04 01 80 00 06 70 1C") == octets("01 04 0C "
                                                              "13 88 03 20 03 20 00 00 00 C8 03 2A "
                                                              "DB 26"));

    // panel_link at 200h.
    // Enabled, 2 channels, 24 bits, vesa-24 = 1, 1920 x 1080, 148500 kHz = 0002 4414h, locked.
    CHECK(bench.exchange("01 04 02 00 00 09 31 B4") ==
          octets("01 04 12 "
                 "00 01 00 02 00 18 00 01 07 80 04 38 00 02 44 14 "
                 "00 01 "
                 "35 58"));
  }

  TEST_CASE("cab-display answers the octets that its figures give") {
    Bench bench{shipped("cab-display")};

    // straps at 100h.
    // BR1 2-3 (5 V) = bit 1; BR2 1-2 (what BR1 takes) = bit 0; BR3 open; S1 10 (jeida-24) = way 1; S2 0100 =
    // way 2.
    CHECK(bench.exchange("01 04 01 00 00 05 31 F5") == octets("01 04 0A "
                                                              "00 02 00 01 00 00 00 01 00 02 "
                                                              "08 DC"));

    // rails at 140h.
    // Panel: (310 + 270) / 2 = 290 mA, 7.25 mV: 4993 (4992.75); idle 120 mA, 3 mV: 4997.
    // Light, passed through: duty 40 + 0.4 x 60 = 64 %; 6.5 W x 0.64 = 4.16 W; / 11.9801 V = 347.2 mA, 8.7
    // mV. Supply: 5 V x 0.29 A / 0.86 + 4.163 W + 3.1 W = 8.949 W; (12 + sqrt(12^2 - 0.06 x 8.949)) / 2
    // = 11.98880 V;
    //   light 11.98880 - 0.00868 = 11.98012 V. While only the board ran, 3.1 W: 11.99612 V, the light's
    //   highest.
    //   Lowest while the light's 220 uF are charged, 12 V / 3 ms x 220 uF = 0.88 A: 13.64 W, 11.98293 V.
    // Currents of supply and light are not fitted on this board, nor the keypad's.
    CHECK(bench.exchange("01 04 01 40 00 15 31 ED") ==
          octets("01 04 2A "
                 "2E D5 2E CF 2E E0 FF FF 0C E4 0C E4 0C E4 13 88 "
                 "13 81 13 81 13 85 01 22 2E CC 2E CC 2E DC FF FF "
                 "13 88 13 88 13 88 FF FF 00 00 "
                 "B4 E6"));

    // backlight at 180h.
    // Enable 3.3 V; 70 %; 1000 Hz; 64.0 %.
    CHECK(bench.exchange("01 04 01 80 00 06 70 1C") == octets("01 04 0C "
                                                              "0C E4 02 BC 02 BC 00 00 03 E8 02 80 "
                                                              "7A FB"));

    // panel_link at 200h.
    // Enabled, 1 channel, 24 bits, jeida-24 = 2, 1280 x 800, 71000 kHz = 0001 1558h, locked.
    CHECK(bench.exchange("01 04 02 00 00 09 31 B4") ==
          octets("01 04 12 "
                 "00 01 00 01 00 18 00 02 05 00 03 20 00 01 15 58 "
                 "00 01 "
                 "F5 DD"));
  }

  TEST_CASE("ticket-machine answers the octets that its figures give") {
    Bench bench{shipped("ticket-machine")};

    // straps at 100h.
    // BR1 1-2 (3.3 V) = bit 0; BR2 2-3 (12 V) = bit 1; BR3 open (rgb-18); S1 110x for the raster and xxx1 for
    // low-is-brighter = ways 1, 2 and 4, as they stood at the last reset.
    CHECK(bench.exchange("01 04 01 00 00 04 F0 35") == octets("01 04 08 "
                                                              "00 01 00 02 00 00 00 0B "
                                                              "0C CA"));

    // rails at 140h.
    // Panel: (660 + 580) / 2 = 620 mA, 15.5 mV: 3284.5, read as 3285; idle 200 mA, 5 mV: 3295; current not
    // fitted. Light: brightness 60 % is duty 8 + 0.6 x 92 = 63.2 %, turned round 36.8 %, which this panel
    // takes for 63.2 %;
    //   9.6 W x 0.632 = 6.0672 W; / 11.98735 V = 506.1 mA, 12.7 mV: 11987.
    // Supply: (3.3 V x 0.62 A + 12 V x 0.50613 A) / 0.85 + 2.8 W = 12.3525 W;
    //   (24 + sqrt(24^2 - 0.06 x 12.3525)) / 2 = 23.99228 V.
    //   Lowest while the light's 220 uF are charged, 0.88 A: 12 V x 0.88 A / 0.85 + 2.8 W = 15.22 W, 23.99048
    //   V.
    CHECK(bench.exchange("01 04 01 40 00 15 31 ED") ==
          octets("01 04 2A "
                 "5D B8 5D B6 5D C0 FF FF 0C E4 0C E4 0C E4 0C E4 "
                 "0C D5 0C D5 0C DF FF FF 2E D3 2E D3 2E E0 FF FF "
                 "0C E4 0C E4 0C E4 FF FF 00 00 "
                 "77 19"));

    // backlight at 180h.
    // Enable 5 V; 60 %; 220 Hz; 36.8 %.
    CHECK(bench.exchange("01 04 01 80 00 06 70 1C") == octets("01 04 0C "
                                                              "13 88 02 58 02 58 00 00 00 DC 01 70 "
                                                              "70 75"));

    // panel_link at 200h.
    // Enabled, 1 channel, 18 bits, rgb-18 = 0, 1024 x 768, 65000 kHz = 0000 FDE8h, locked.
    CHECK(bench.exchange("01 04 02 00 00 09 31 B4") ==
          octets("01 04 12 "
                 "00 01 00 01 00 12 00 00 04 00 03 00 00 00 FD E8 "
                 "00 01 "
                 "9F EF"));
  }

  TEST_CASE("a strap that stands at open in every healthy unit shows in its own register") {
    const model::Kit kit = shipped("stop-display");
    sim::unit::Positions straps = sim::unit::healthy_positions(kit).positions;
    straps[2] = {1};  // BR4, index 2, from open to 1-2
    Bench bench{kit, straps};
    CHECK(bench.exchange("01 04 01 00 00 05 31 F5") ==
          octets("01 04 0A 00 04 00 01 00 01 00 02 00 09 AF 7B"));
  }
}
