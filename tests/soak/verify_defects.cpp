#include "tests/soak/verify_defects.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <memory>
#include <vector>

#include "host/verify/image.hpp"
#include "protocol/points/layout.hpp"
#include "tests/soak/dice.hpp"

namespace tests::soak {

namespace {

using host::link::Result;
using host::link::Table;
using host::verify::kMarkCount;
using host::verify::Reader;
using protocol::points::kImageAddress;
using Words = std::vector<std::uint16_t>;

std::uint16_t mark_address() {
  return static_cast<std::uint16_t>(
      kImageAddress + protocol::points::layout(protocol::points::Point::kSnapshotGeneration).image);
}

/// A reader with another one behind it.
class Before : public Reader {
 public:
  explicit Before(Reader& behind) : behind_{behind} {}

  Result<Words> read(Table table, std::uint16_t address, std::uint16_t count) override {
    return behind_.read(table, address, count);
  }
  Result<void> write(std::uint16_t address, std::span<const std::uint16_t> words) override {
    return behind_.write(address, words);
  }
  Result<host::link::DeviceObjects> identify() override { return behind_.identify(); }
  Result<Words> read_files(std::span<const protocol::pdu::FileRecord> groups) override {
    return behind_.read_files(groups);
  }
  [[nodiscard]] host::link::WireStatistics statistics() const override { return behind_.statistics(); }
  [[nodiscard]] host::link::plan::LineCost line_cost() const override { return behind_.line_cost(); }

 private:
  Reader& behind_;
};

/// A line on which damage gets past the checksum now and then, once bad frames have shown: far more often
/// than one time in 2^15.
class Slipping : public Before {
 public:
  Slipping(Reader& behind, std::uint64_t seed) : Before{behind}, dice_{seed} {}

  Result<Words> read(Table table, std::uint16_t address, std::uint16_t count) override {
    Result<Words> words = Before::read(table, address, count);
    if (words && !words->empty() && has_shown_bad_frames(*this) && dice_.below(kOneIn) == 0) {
      std::uint16_t& word = (*words)[dice_.below(static_cast<std::uint32_t>(words->size()))];
      word = static_cast<std::uint16_t>(word ^ (1U << dice_.below(16)));
    }
    return words;
  }

 private:
  static constexpr std::uint32_t kOneIn = 50;

  Dice dice_;
};

/// Takes every image for its own, and the mark behind it for the one in it.
class NoMark final : public Slipping {
 public:
  using Slipping::Slipping;

  Result<Words> read(Table table, std::uint16_t address, std::uint16_t count) override {
    if (address == mark_address() && count == kMarkCount) return mark_;
    Result<Words> words = Slipping::read(table, address, count);
    for (std::uint16_t i = 0; words && i < kMarkCount; ++i) {
      const std::uint32_t at = std::uint32_t{mark_address()} + i;
      if (at < address || at >= std::uint32_t{address} + count) continue;
      std::uint16_t& word = (*words)[at - address];
      if (i == kOwner) word = owner_;
      mark_[i] = word;
    }
    return words;
  }

  Result<void> write(std::uint16_t address, std::span<const std::uint16_t> words) override {
    owner_ = words.front();
    return Slipping::write(address, words);
  }

 private:
  static constexpr std::uint16_t kOwner = 1;  // generation, owner, boot number

  std::uint16_t owner_ = 0;
  Words mark_ = Words(kMarkCount);
};

/// Thinks that no line is too bad for a verdict.
class NoGate final : public Slipping {
 public:
  using Slipping::Slipping;

  [[nodiscard]] host::link::WireStatistics statistics() const override {
    auto told = Slipping::statistics();
    told.counts.frames_bad = std::min(told.counts.frames_bad, 1U);
    return told;
  }
};

/// Takes the first reading of an image for the second, too.
class NoSecondReading final : public Slipping {
 public:
  using Slipping::Slipping;

  Result<Words> read(Table table, std::uint16_t address, std::uint16_t count) override {
    if (address == mark_address() && count == kMarkCount) return Slipping::read(table, address, count);
    Words again;
    again.reserve(count);
    for (std::uint32_t at = address; at < std::uint32_t{address} + count && read_.contains(at); ++at) {
      again.push_back(read_[at]);
    }
    if (again.size() == count) return again;
    Result<Words> words = Slipping::read(table, address, count);
    for (std::uint32_t i = 0; words && i < count; ++i) read_[address + i] = (*words)[i];
    return words;
  }

  // A latch begins another image.
  Result<void> write(std::uint16_t address, std::span<const std::uint16_t> words) override {
    read_.clear();
    return Slipping::write(address, words);
  }

 private:
  std::map<std::uint32_t, std::uint16_t> read_;
};

template <typename Kind>
std::unique_ptr<Reader> around(Reader& behind, std::uint64_t seed) {
  return std::make_unique<Kind>(behind, seed);
}

}  // namespace

std::span<const VerifyDefect> verify_defects() {
  static const std::array<VerifyDefect, 4> defects{{
      {"none", "every guard", around<Slipping>},
      {"mark", "takes every image for its own, first and last", around<NoMark>},
      {"gate", "thinks that no line is too bad for a verdict", around<NoGate>},
      {"second-reading", "takes the first reading of an image for the second", around<NoSecondReading>},
  }};
  return defects;
}

}  // namespace tests::soak
