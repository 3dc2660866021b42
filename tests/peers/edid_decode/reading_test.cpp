#include <string>
#include <variant>

#include <doctest/doctest.h>

#include "host/signal/edid_read.hpp"
#include "tests/host/signal/golden_edids.hpp"
#include "tests/peers/edid_decode/edid_decode.hpp"

using namespace host;

namespace {

bool says(const std::string& out, const std::string& text) {
  return out.find(text) != std::string::npos;
}

}  // namespace

TEST_SUITE("peers/edid_decode/reading") {
  TEST_CASE("we read in the reference EDIDs what edid-decode reads in them today") {
    for (const char* name : tests::kGoldenEdids) {
      CAPTURE(name);
      const auto bytes = tests::golden_edid(name);
      REQUIRE(bytes.size() >= 128);
      const auto theirs = tests::edid_decode::check(bytes);
      REQUIRE(theirs.exit_code == 0);
      const auto reading = signal::read_edid(bytes);
      REQUIRE(reading.edid);
      const signal::Edid& edid = *reading.edid;
      CHECK(says(theirs.out, "Manufacturer: " + signal::letters_of(edid.maker) + '\n'));
      CHECK(says(theirs.out, "Model: " + std::to_string(edid.product) + '\n'));
      CHECK(says(theirs.out, "Serial Number: " + std::to_string(edid.serial) + '\n'));
      CHECK(says(theirs.out, "Maximum image size: " + std::to_string(edid.width_cm) + " cm x " +
                                 std::to_string(edid.height_cm) + " cm\n"));
      const auto printed = tests::edid_decode::timings_in(theirs.out);
      std::size_t index = 0;
      const auto next = [&] {
        while (index < printed.size() && !printed[index].kind.starts_with("DTD")) ++index;
        return index < printed.size() ? printed[index++] : tests::edid_decode::PrintedTiming{};
      };
      for (const signal::Descriptor& descriptor : edid.descriptors) {
        if (const auto* detailed = std::get_if<signal::DetailedTiming>(&descriptor)) {
          const auto dtd = next();
          const model::Timing& timing = detailed->timing;
          CHECK(timing.pixel_clock.count == dtd.clock_khz * 1000);
          CHECK(timing.h_active.count == dtd.columns);
          CHECK(timing.h_front.count == dtd.h_front);
          CHECK(timing.h_sync.count == dtd.h_sync);
          CHECK(timing.h_back.count == dtd.h_back);
          CHECK(timing.v_active.count == dtd.lines);
          CHECK(timing.v_front.count == dtd.v_front);
          CHECK(timing.v_sync.count == dtd.v_sync);
          CHECK(timing.v_back.count == dtd.v_back);
          CHECK((timing.h_polarity == model::Polarity::kPositive) == dtd.h_positive);
          CHECK((timing.v_polarity == model::Polarity::kPositive) == dtd.v_positive);
        }
        if (const auto* shown = std::get_if<signal::DisplayText>(&descriptor))
          CHECK(says(theirs.out, '\'' + shown->text + '\''));
        if (const auto* limits = std::get_if<signal::RangeLimits>(&descriptor)) {
          CHECK(says(theirs.out, std::to_string(limits->v_min_hz) + '-' + std::to_string(limits->v_max_hz) +
                                     " Hz V, " + std::to_string(limits->h_min_khz) + '-' +
                                     std::to_string(limits->h_max_khz) + " kHz H, max dotclock " +
                                     std::to_string(limits->pixel_clock_max_mhz) + " MHz"));
        }
      }
    }
  }
}
