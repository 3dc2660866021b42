#include "host/verify/image.hpp"

#include <algorithm>
#include <iterator>
#include <optional>
#include <random>

#include <doctest/doctest.h>

#include "host/verify/acquire.hpp"
#include "protocol/points/layout.hpp"
#include "tests/host/verify/bench.hpp"
#include "tests/host/verify/memory_unit.hpp"

using host::link::Fault;
using host::verify::Image;
using host::verify::reads_the_same;
using protocol::points::image_size;
using protocol::points::kImageAddress;
using protocol::points::Point;

namespace {

constexpr int kTriesMax = 4;  // of a session, for one read

/// A line that spoils answers and counts them as a session does: four tries a read, then it gives up.
class SpoilingReader final : public MemoryReader {
 public:
  using MemoryReader::MemoryReader;

  host::link::Result<std::vector<std::uint16_t>> read(host::link::Table table, std::uint16_t address,
                                                      std::uint16_t count) override {
    auto& counts = statistics_now.counts;
    for (int tries = 0; tries < kTriesMax; ++tries) {
      counts.octets_received += 5U + 2U * count;
      if (!spoils(count)) {
        ++counts.frames_good;
        return MemoryReader::read(table, address, count);
      }
      ++counts.frames_bad;
    }
    reads.emplace_back(address, count);
    return host::link::failure(fault, "no sound frame");
  }

  [[nodiscard]] host::link::plan::LineCost line_cost() const override {
    const auto& counts = statistics_now.counts;
    return {{115200, 11},
            turnaround,
            host::link::plan::damaged_per_million(counts.frames_bad, counts.octets_received)};
  }

  std::vector<std::uint16_t> counts() const {
    std::vector<std::uint16_t> all;
    std::transform(reads.begin(), reads.end(), std::back_inserter(all),
                   [](const auto& read) { return read.second; });
    return all;
  }

  std::function<bool(std::uint16_t count)> spoils = [](std::uint16_t) { return false; };
  Fault fault = Fault::kNoisy;
  protocol::base::Duration turnaround = protocol::base::milliseconds(2);
};

/// Damages each octet with that chance, the same way for the same seed.
std::function<bool(std::uint16_t)> damage(double chance, std::uint32_t seed) {
  return [chance, random = std::minstd_rand{seed}](std::uint16_t count) mutable {
    std::bernoulli_distribution octet{chance};
    int hits = 0;
    for (int i = 0; i < 5 + 2 * count; ++i) hits += octet(random) ? 1 : 0;
    return hits > 0;
  };
}

std::function<bool(std::uint16_t)> spoil_first(int times) {
  return [left = times](std::uint16_t) mutable { return left-- > 0; };
}

std::uint16_t end_of(Point point) {
  const auto& layout = protocol::points::layout(point);
  return static_cast<std::uint16_t>(layout.image + register_count(layout.type));
}

host::link::Result<Image> read_image(host::verify::Reader& reader) {
  Image image;
  const auto done = host::verify::read_image(reader, image);
  if (!done) return tl::unexpected{done.error()};
  return image;
}

bool alike_in_a_row(const std::vector<std::uint16_t>& counts) {
  return std::adjacent_find(counts.begin(), counts.end()) != counts.end();
}

/// A unit that has latched, and the line to it.
struct Latched {
  MemoryUnit unit{Bench{}.snapshot};
  SpoilingReader reader{unit};

  Latched() { unit.latch(7); }
};

}  // namespace

TEST_SUITE("host/verify/image") {
  TEST_CASE("a clean line's image is read in two blocks that part no value") {
    Latched latched;
    SpoilingReader& reader = latched.reader;
    const auto image = read_image(reader);
    REQUIRE(image.has_value());
    CHECK(image->words.size() == image_size());
    REQUIRE(reader.reads.size() == 2);
    CHECK(reader.reads[0].second + reader.reads[1].second == image_size());
    CHECK(reader.reads[0].second != reader.reads[1].second);
    const auto second = static_cast<std::uint16_t>(reader.reads[1].first - kImageAddress);
    for (const auto& layout : protocol::points::layouts()) {
      if (layout.image == protocol::points::kNotInImage) continue;
      CHECK((layout.image >= second || layout.image + register_count(layout.type) <= second));
    }
  }

  TEST_CASE("once the line has spoilt a block all that follow are short") {
    Latched latched;
    SpoilingReader& reader = latched.reader;
    reader.spoils = spoil_first(1);
    const auto image = read_image(reader);
    REQUIRE(image.has_value());
    SpoilingReader clean{latched.unit};
    CHECK(image->words == read_image(clean)->words);
    const auto counts = reader.counts();
    CHECK(counts[0] == clean.counts()[0]);
    // One bad frame in 2 x 255 octets at most: 3.3 % of a block's octets are 17, an answer to 6 registers;
    // one more for the 3 that is left to the mark.
    for (std::size_t i = 1; i < counts.size(); ++i) CHECK(counts[i] <= 7);
  }

  TEST_CASE("a line that gets worse has the rest in shorter blocks again") {
    Latched latched;
    SpoilingReader& reader = latched.reader;
    reader.statistics_now.counts.octets_received = 3000;
    int asked = 0;
    reader.spoils = [&](std::uint16_t) {
      ++asked;
      return asked == 1 || (asked > 2 && asked < 6);
    };
    REQUIRE(read_image(reader).has_value());
    const auto counts = reader.counts();
    CHECK(counts[1] < counts[0]);
    CHECK(counts[1] > 15);
    CHECK(counts.back() < counts[1] / 2);
  }

  TEST_CASE("of a unit that takes its time short blocks are not so many that the whole run runs out of it") {
    Latched latched;
    SpoilingReader& reader = latched.reader;
    reader.turnaround = protocol::base::milliseconds(200);
    reader.spoils = spoil_first(1);
    REQUIRE(read_image(reader).has_value());
    CHECK(reader.reads.size() > 2);
    CHECK(reader.reads.size() < 10);  // of 0.2 s each
  }

  TEST_CASE("on any line the second reading has no block of a length of the first, nor two alike in a row") {
    int same = 0;
    for (std::uint32_t seed = 1; seed <= 300; ++seed) {
      CAPTURE(seed);
      Latched latched;
      SpoilingReader& reader = latched.reader;
      reader.spoils = damage(seed % 3 == 0 ? 0.006 : 0.0024, seed);
      const auto image = read_image(reader);
      if (!image) continue;
      CHECK_FALSE(alike_in_a_row(reader.counts()));
      CHECK_FALSE(image->counts.contains(host::verify::kMarkCount));
      reader.reads.clear();
      const auto again = reads_the_same(reader, *image);
      if (!again) continue;
      same += *again ? 1 : 0;
      const auto counts = reader.counts();
      CHECK_FALSE(alike_in_a_row(counts));
      for (const std::uint16_t count : counts) CHECK_FALSE(image->counts.contains(count));
    }
    CHECK(same > 290);
  }

  TEST_CASE("where no other length is left than those of the first reading, the second counts for nothing") {
    Latched latched;
    SpoilingReader& reader = latched.reader;
    auto image = read_image(reader);
    REQUIRE(image.has_value());
    CHECK(*reads_the_same(reader, *image));
    for (std::uint16_t count = 1; count <= 125; ++count) image->counts.insert(count);
    CHECK_FALSE(*reads_the_same(reader, *image));
  }

  TEST_CASE("a word that reads otherwise the second time is noticed wherever it stands") {
    for (const std::size_t at : {std::size_t{0}, std::size_t{77}, std::size_t{image_size()} - 1}) {
      CAPTURE(at);
      Latched latched;
      SpoilingReader& reader = latched.reader;
      auto image = read_image(reader);
      REQUIRE(image.has_value());
      image->words[at] ^= 1;
      CHECK_FALSE(*reads_the_same(reader, *image));
    }
  }

  TEST_CASE("a block that is spoilt each time is read in halves, and the image still comes whole") {
    for (const Fault fault : {Fault::kNoisy, Fault::kSilent}) {
      Latched latched;
      SpoilingReader& reader = latched.reader;
      reader.fault = fault;
      reader.statistics_now.counts.octets_received = 100'000;  // so that nothing else makes them shorter
      reader.spoils = [](std::uint16_t count) { return count > 60; };
      const auto image = read_image(reader);
      REQUIRE(image.has_value());
      CHECK(image->words.size() == image_size());
      CHECK(std::count_if(reader.reads.begin(), reader.reads.end(),
                          [](const auto& read) { return read.second > 60; }) == 1);
    }
  }

  TEST_CASE("a line that spoils everything is given up soon, and so is a unit that says nothing at all") {
    Latched latched;
    SpoilingReader& noisy = latched.reader;
    noisy.spoils = [](std::uint16_t) { return true; };
    CHECK(read_image(noisy).error().fault == Fault::kNoisy);
    CHECK(noisy.reads.size() <= 4);
    SpoilingReader silent{latched.unit};
    silent.answers_left = 0;
    CHECK(read_image(silent).error().fault == Fault::kSilent);
    CHECK(silent.transactions == 1);
  }

  TEST_CASE("an older profile's end is found on any line, and the second reading looks for it as well") {
    for (const Point last : {Point::kPanelLinkRasterV, Point::kSettingsInput, Point::kInputHActive}) {
      for (std::uint32_t seed = 1; seed <= 40; ++seed) {
        CAPTURE(static_cast<int>(last));
        CAPTURE(seed);
        Latched latched;
        latched.unit.image_size = end_of(last);
        SpoilingReader& reader = latched.reader;
        if (seed > 1) reader.spoils = damage(0.0012, seed);
        const auto image = read_image(reader);
        REQUIRE(image.has_value());
        CHECK(image->words.size() == end_of(last));
        CHECK_FALSE(alike_in_a_row(reader.counts()));
        CHECK(*reads_the_same(reader, *image));
        latched.unit.image_size = end_of(static_cast<Point>(static_cast<int>(last) + 1));
        CHECK_FALSE(*reads_the_same(reader, *image));
        latched.unit.image_size = end_of(static_cast<Point>(static_cast<int>(last) - 1));
        CHECK_FALSE(*reads_the_same(reader, *image));
      }
    }
  }

  TEST_CASE("a whole snapshot over a line that spoils one frame in ten has no two reads alike in a row") {
    for (std::uint32_t seed = 1; seed <= 40; ++seed) {
      CAPTURE(seed);
      MemoryUnit unit{Bench{}.snapshot};
      SpoilingReader reader{unit};
      reader.spoils = damage(0.003, seed);
      const auto snapshot = acquire(reader, {.address = 1, .owner = 0x4711});
      REQUIRE(snapshot.has_value());
      CHECK_FALSE(alike_in_a_row(reader.counts()));
      CHECK(snapshot->consistency == host::verify::Consistency::kLatched);
    }
  }
}
