#include "host/signal/lvds_slots.hpp"

#include <array>
#include <map>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "host/signal/lvds.hpp"
#include "tests/host/signal/vectors.hpp"

using namespace host;

namespace {

using model::Mapping;
using signal::LvdsPixel;

const std::map<std::string, Mapping> kMappings = {{"rgb-18", Mapping::kRgb18},
                                                  {"vesa-24", Mapping::kVesa24},
                                                  {"jeida-24", Mapping::kJeida24},
                                                  {"vesa-30", Mapping::kVesa30},
                                                  {"jeida-30", Mapping::kJeida30}};

int depth(const std::string& mapping) {
  return (mapping.ends_with("18") ? 6 : mapping.ends_with("24") ? 8 : 10);
}

LvdsPixel grey(int value) {
  const auto level = static_cast<std::uint16_t>(value);
  return {level, level, level, false, false, true};
}

// A pixel with nothing but what a cell of the table names.
LvdsPixel only(const std::string& cell) {
  LvdsPixel pixel;
  pixel.enable = cell == "DE";
  pixel.v_sync = cell == "VS";
  pixel.h_sync = cell == "HS";
  if (cell[0] == 'R') pixel.red = static_cast<std::uint16_t>(1 << (cell[1] - '0'));
  if (cell[0] == 'G') pixel.green = static_cast<std::uint16_t>(1 << (cell[1] - '0'));
  if (cell[0] == 'B') pixel.blue = static_cast<std::uint16_t>(1 << (cell[1] - '0'));
  return pixel;
}

std::vector<LvdsPixel> ramp(int count) {
  std::vector<LvdsPixel> line;
  for (int i = 0; i < count; ++i) line.push_back(grey(i));
  return line;
}

}  // namespace

TEST_SUITE("host/signal/lvds_slots") {
  TEST_CASE("each slot carries what the published tables say, alone") {
    const auto rows = tests::read_vectors("lvds-slots.csv");
    REQUIRE(rows.size() == 3 + 4 + 4 + 5 + 5);
    for (const auto& row : rows) {
      const Mapping mapping = kMappings.at(row.at("mapping"));
      const auto pair = static_cast<std::size_t>(tests::number(row, "pair"));
      CAPTURE(row.at("mapping"));
      CAPTURE(pair);
      for (int slot = 0; slot < signal::kSlots; ++slot) {
        CAPTURE(slot);
        const std::string cell = row.at("slot" + std::to_string(slot));
        signal::ChannelBits expected;
        if (cell == "0") {
          CHECK(signal::slot_at(mapping, static_cast<int>(pair), slot) == signal::Slot{});
        } else {
          expected.pairs.at(pair) = static_cast<std::uint8_t>(1 << slot);
        }
        CHECK(signal::drive(mapping, only(cell)) == expected);
        CHECK(signal::receive(mapping, expected) == only(cell));
      }
    }
  }

  TEST_CASE("a receiver of the same mapping gets every level of every colour back") {
    for (const auto& [name, mapping] : kMappings) {
      CAPTURE(name);
      const int levels = 1 << depth(name);
      for (int level = 0; level < levels; ++level) {
        const LvdsPixel pixel = {static_cast<std::uint16_t>(level),
                                 static_cast<std::uint16_t>(levels - 1 - level),
                                 static_cast<std::uint16_t>(level * 3 % levels),
                                 level % 2 == 0,
                                 level % 3 == 0,
                                 level % 5 != 0};
        CHECK(signal::receive(mapping, signal::drive(mapping, pixel)) == pixel);
      }
    }
  }

  TEST_CASE("between the two 24-bit mappings a ramp folds four times, each way by its own formula") {
    // Closed forms, from the tables by hand: the six bits on the first three pairs and the two on the fourth
    // trade places.
    for (int v = 0; v < 256; ++v) {
      CAPTURE(v);
      CHECK(signal::receive(Mapping::kJeida24, signal::drive(Mapping::kVesa24, grey(v))) ==
            grey(v % 64 * 4 + v / 64));
      CHECK(signal::receive(Mapping::kVesa24, signal::drive(Mapping::kJeida24, grey(v))) ==
            grey(v / 4 + 64 * (v % 4)));
    }
  }

  TEST_CASE("an 18-bit panel shows the top six bits of jeida-24 and the low six of vesa-24") {
    for (int v = 0; v < 256; ++v) {
      CAPTURE(v);
      CHECK(signal::receive(Mapping::kRgb18, signal::drive(Mapping::kJeida24, grey(v))) == grey(v / 4));
      CHECK(signal::receive(Mapping::kRgb18, signal::drive(Mapping::kVesa24, grey(v))) == grey(v % 64));
    }
  }

  TEST_CASE("a straight path carries a line unchanged over one, two and four channels") {
    for (const int channels : {1, 2, 4}) {
      for (const int length : {0, 1, 2, 3, 4, 5, 7, 8, 64}) {
        CAPTURE(channels);
        CAPTURE(length);
        const auto line = ramp(length);
        CHECK(signal::carry(Mapping::kVesa24, Mapping::kVesa24, signal::straight_path(channels), line) ==
              line);
      }
    }
  }

  TEST_CASE("swapped channels exchange neighbouring columns") {
    const auto got = signal::carry(Mapping::kVesa24, Mapping::kVesa24,
                                   signal::with_channels_swapped(signal::straight_path(2), 0, 1), ramp(64));
    REQUIRE(got.size() == 64);
    for (int i = 0; i < 64; ++i) CHECK(got[static_cast<std::size_t>(i)] == grey(i ^ 1));
  }

  TEST_CASE("an open pair freezes just its own bits at the level that an open input reads") {
    for (const bool high : {false, true}) {
      auto path = signal::with_pair_open(signal::straight_path(1), 0, 3);
      path.open_reads_high = high;
      const auto got = signal::carry(Mapping::kJeida24, Mapping::kJeida24, path, ramp(256));
      for (int i = 0; i < 256; ++i) {
        CHECK(got[static_cast<std::size_t>(i)] == grey(high ? i | 3 : i & ~3));  // pair 3 holds bits 0 and 1
      }
    }
  }

  TEST_CASE("an open pair of one channel of two touches every other column only") {
    auto path = signal::with_pair_open(signal::straight_path(2), 1, 3);
    path.open_reads_high = false;
    const auto got = signal::carry(Mapping::kVesa24, Mapping::kVesa24, path, ramp(256));
    for (int i = 0; i < 256; ++i) {
      CHECK(got[static_cast<std::size_t>(i)] == grey(i % 2 == 1 ? i & 63 : i));  // pair 3 holds bits 6 and 7
    }
  }

  TEST_CASE("a reversed pair inverts just its own bits, twice reversed it is right again") {
    const auto once = signal::with_pair_reversed(signal::straight_path(1), 0, 3);
    const auto got = signal::carry(Mapping::kVesa24, Mapping::kVesa24, once, ramp(256));
    for (int i = 0; i < 256; ++i) CHECK(got[static_cast<std::size_t>(i)] == grey(i ^ 0xC0));
    const auto twice = signal::with_pair_reversed(once, 0, 3);
    CHECK(signal::carry(Mapping::kVesa24, Mapping::kVesa24, twice, ramp(256)) == ramp(256));
  }

  TEST_CASE("crossed pairs exchange what they carry") {
    // Pair 0 of vesa-24 holds G0 R5..R0, pair 3 nothing, B7 B6 G7 G6 R7 R6: slots 6..1 trade R0..R5 for R6 R7
    // G6 G7 B6 B7.
    const auto path = signal::with_pairs_crossed(signal::straight_path(1), 0, 0, 3);
    LvdsPixel red_msb;
    red_msb.red = 0x80;
    const auto got = signal::carry(Mapping::kVesa24, Mapping::kVesa24, path, std::array{red_msb});
    REQUIRE(got.size() == 1);
    CHECK(got[0].red == 0x02);  // slot 5 of pair 3 arrives in slot 5 of pair 0
    CHECK(got[0].green == 0);
    CHECK(got[0].blue == 0);
    CHECK(got[0].enable);
  }

  TEST_CASE("a driver with fewer pairs leaves the receiver's last ones open") {
    auto path = signal::straight_path(1);
    path.open_reads_high = false;
    const auto got = signal::carry(Mapping::kRgb18, Mapping::kJeida24, path, ramp(64));
    for (int i = 0; i < 64; ++i) CHECK(got[static_cast<std::size_t>(i)] == grey(i * 4));
  }

  TEST_CASE("without a clock nothing is received") {
    for (const std::size_t channel : {0U, 1U}) {
      auto path = signal::straight_path(2);
      path.clock_open[channel] = true;
      CHECK(signal::carry(Mapping::kVesa24, Mapping::kVesa24, path, ramp(8)).empty());
    }
  }

  TEST_CASE("behind a reversed clock a pixel holds the last slots of the one before it") {
    auto path = signal::straight_path(1);
    path.clock_reversed[0] = true;
    // Slots 4, 5, 6 of the first pixel's pair 0 (R2 R1 R0) come out in slots 0, 1, 2 of the second (G0 R5
    // R4).
    LvdsPixel first;
    first.enable = false;
    first.red = 7;
    LvdsPixel second;
    second.enable = false;
    const auto got = signal::carry(Mapping::kVesa24, Mapping::kVesa24, path, std::array{first, second});
    REQUIRE(got.size() == 2);
    CHECK(got[0] == second);
    CHECK(got[1].green == 1);
    CHECK(got[1].red == 0x30);
  }

  TEST_CASE("another depth keeps black, white and order") {
    for (const int from : {6, 8, 10}) {
      for (const int to : {6, 8, 10}) {
        CAPTURE(from);
        CAPTURE(to);
        const int white = (1 << from) - 1;
        CHECK(signal::to_depth(0, from, to) == 0);
        CHECK(signal::to_depth(static_cast<std::uint16_t>(white), from, to) == (1 << to) - 1);
        for (int v = 0; v < white; ++v) {
          const auto level = static_cast<std::uint16_t>(v);
          CHECK(signal::to_depth(level, from, to) <=
                signal::to_depth(static_cast<std::uint16_t>(v + 1), from, to));
          if (to >= from) CHECK(signal::to_depth(signal::to_depth(level, from, to), to, from) == level);
        }
      }
    }
  }
}
