#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/reader.hpp"
#include "sim/unit/registers.hpp"
#include "tests/soak/shared_unit.hpp"
#include "tests/soak/tally.hpp"
#include "tests/soak/verify_run.hpp"
#include "tests/soak/wire.hpp"

namespace tests::soak {

/// A unit's kit and what it is expected to be.
struct Subject {
  host::model::Kit kit;
  host::expect::Expectation expectation;
  sim::unit::Positions right;
  host::model::Timing source;
  std::uint16_t input;          // index of the one that the source feeds
  std::size_t strap;            // that selects the panel's supply
  host::model::Position wrong;  // of it
  host::model::Panel other;     // of another raster: a wrong EDID is its
};

/// Returns  nothing when the kit can't be loaded from the catalogue, or can't be built wrong.
[[nodiscard]] std::optional<Subject> subject_of(const std::string& catalogue, const std::string& id);

enum class Built : std::uint8_t { kRight, kWrongStrap, kWrongEdid };

/// One unit on one wire, verified again and again.
class Bench {
 public:
  struct Setup {
    Mix mix;
    Built built = Built::kRight;
    std::uint16_t others = 0;  // how often another master latches, in 1/65536 of the requests
    Around around{};           // what stands between verify and its link; none: nothing
  };

  /// `subject` outlives it.
  Bench(const Subject& subject, const Setup& setup, std::uint64_t seed);

  /// No fault any more, and none still at work: an answer that is late by 441 ms would outlast two whole runs
  /// of a client that was told 5 ms. What it left in the port is still there.
  void calm();
  [[nodiscard]] const Counts& counts() const { return wire_.counts(); }

  /// One run; what came of it is counted.
  host::verify::Verdict verify(Tally& tally, Verdicts& verdicts);

  [[nodiscard]] bool false_verdict(host::verify::Verdict verdict) const;
  [[nodiscard]] bool true_verdict(host::verify::Verdict verdict) const;

 private:
  void compare(const host::verify::Snapshot& snapshot, std::uint16_t owner, bool too_bad,
               Verdicts& verdicts) const;

  const Subject& subject_;
  Setup setup_;
  std::uint64_t seed_;
  sim::unit::Unit unit_;
  std::vector<std::uint8_t> edid_;
  SharedUnit shared_;
  Wire wire_;
  Instant now_{};
};

}  // namespace tests::soak
