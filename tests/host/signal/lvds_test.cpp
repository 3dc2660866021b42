#include "host/signal/lvds.hpp"

#include <doctest/doctest.h>

using namespace host;

TEST_SUITE("host/signal/lvds") {
  TEST_CASE("link clock and bit rate follow from the pixel clock") {
    // Link clock = pixel clock / channels, seven bits a clock (Open LVDS Display Interface 0.95, 5.4); by
    // hand.
    struct Row {
      long long pixel_clock_khz;
      int channels;
      long long link_clock_khz, kbps;
    };
    for (const Row row :
         {Row{33'300, 1, 33'300, 233'100}, Row{65'000, 1, 65'000, 455'000}, Row{71'000, 1, 71'000, 497'000},
          Row{85'000, 1, 85'000, 595'000}, Row{138'500, 2, 69'250, 484'750}, Row{148'500, 2, 74'250, 519'750},
          Row{154'000, 2, 77'000, 539'000}, Row{297'000, 4, 74'250, 519'750}}) {
      CAPTURE(row.pixel_clock_khz);
      const auto clock = signal::link_clock({row.pixel_clock_khz * 1000}, row.channels);
      CHECK(clock.count == row.link_clock_khz * 1000);
      CHECK(signal::bit_rate_kbps(clock) == row.kbps);
    }
  }

  TEST_CASE("a channel has a data pair for every seven bits of colour and control") {
    CHECK(signal::data_pairs(model::Mapping::kRgb18) == 3);   // 18 + 3 bits
    CHECK(signal::data_pairs(model::Mapping::kVesa24) == 4);  // 24 + 3 of 28
    CHECK(signal::data_pairs(model::Mapping::kJeida24) == 4);
    CHECK(signal::data_pairs(model::Mapping::kVesa30) == 5);  // 30 + 3 of 35
    CHECK(signal::data_pairs(model::Mapping::kJeida30) == 5);
  }
}
