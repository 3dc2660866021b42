#include "tests/soak/bench.hpp"

#include <algorithm>

#include "host/model/catalogue.hpp"
#include "host/verify/acquire.hpp"
#include "host/verify/image.hpp"
#include "sim/unit/edids.hpp"
#include "sim/unit/strap_search.hpp"
#include "tests/soak/talk.hpp"
#include "tests/soak/wire_reader.hpp"

namespace tests::soak {

namespace {

using host::verify::Verdict;
using protocol::points::Reading;
using protocol::session::AllGuards;

struct Strap {
  std::size_t index;
  host::model::Position wrong;
};

// The one that selects the panel's supply, and another of its positions than the right one.
std::optional<Strap> wrong_strap(const host::model::Board& board, const sim::unit::Positions& right) {
  for (const auto& function : board.functions) {
    if (function.id != host::model::FunctionId::kPanelSupply) continue;
    for (const auto& row : function.rows) {
      const auto& setting = row.settings.front();
      const auto& pattern = setting.patterns.front();
      if ((right[setting.strap].bits & pattern.care) == pattern.bits) continue;
      return Strap{setting.strap, {pattern.bits}};
    }
  }
  return std::nullopt;
}

// Of another raster than the kit's.
std::optional<host::model::Panel> other_panel(const std::string& catalogue, const host::model::Kit& kit) {
  for (const std::string& id : host::model::kit_ids({catalogue})) {
    const auto other = host::model::load_kit(id, {catalogue});
    if (other && other->panel.signal.raster_columns != kit.panel.signal.raster_columns) return other->panel;
  }
  return std::nullopt;
}

sim::unit::UnitSetup unit_setup(const Subject& subject, Built built) {
  sim::unit::Positions straps = subject.right;
  if (built == Built::kWrongStrap) straps[subject.strap] = subject.wrong;
  sim::unit::UnitSetup setup{subject.kit,    straps,       sim::unit::settings_of(subject.kit),
                             subject.source, "SIM-000001", 0};
  setup.shelf.panel = [other = subject.other](std::string_view) { return std::optional{other}; };
  return setup;
}

bool same(const Reading& one, const Reading& other) {
  return one.kind == other.kind && one.unread == other.unread && one.number == other.number &&
         one.text() == other.text();
}

void count(Verdict verdict, Verdicts& verdicts) {
  ++verdicts.runs;
  switch (verdict) {
    case Verdict::kPass: ++verdicts.passed; break;
    case Verdict::kFail: ++verdicts.failed; break;
    case Verdict::kIncomplete: ++verdicts.incomplete; break;
  }
}

}  // namespace

std::optional<Subject> subject_of(const std::string& catalogue, const std::string& id) {
  const auto kit = host::model::load_kit(id, {catalogue});
  if (!kit) return std::nullopt;
  const auto expectation = host::expect::derive(*kit);
  const auto& inputs = kit->board.inputs;
  const auto input =
      std::find_if(inputs.begin(), inputs.end(), [&](const auto& one) { return one.id == kit->video.input; });
  const auto right = sim::unit::healthy_positions(*kit).positions;
  const auto strap = wrong_strap(kit->board, right);
  const auto other = other_panel(catalogue, *kit);
  if (!expectation || input == inputs.end() || !strap || !other) return std::nullopt;
  return Subject{*kit,
                 *expectation,
                 right,
                 sim::unit::wanted_timing(*kit),
                 static_cast<std::uint16_t>(input - inputs.begin()),
                 strap->index,
                 strap->wrong,
                 *other};
}

Bench::Bench(const Subject& subject, const Setup& setup, std::uint64_t seed)
    : subject_{subject},
      setup_{setup},
      seed_{seed},
      unit_{unit_setup(subject, setup.built)},
      shared_{unit_, {setup.others, subject.strap, subject.right[subject.strap], subject.wrong}, seed},
      wire_{setup.mix, seed, shared_} {
  if (setup.built == Built::kWrongEdid) {
    (void)unit_.inject(*sim::fault::parse_fault("edid-of=other"));
  }
  edid_ = unit_.edid(subject.input);
  unit_.advance(unit_.now() + protocol::base::milliseconds(10'000));
  now_ = unit_.now();
}

void Bench::calm() {
  wire_.calm();
  now_ = std::max(now_, wire_.last());
}

Verdict Bench::verify(Tally& tally, Verdicts& verdicts) {
  unit_.advance(std::max(now_, unit_.now()));
  shared_.forget();
  Talk<AllGuards> talk{wire_, ++seed_};
  host::verify::Snapshot snapshot;
  snapshot.trouble = "no answer";
  const auto owner = static_cast<std::uint16_t>(1 + seed_ % 0xFF00);
  if (talk.open(now_).ok()) {
    WireReader link{talk, now_};
    const auto around = setup_.around ? setup_.around(link, seed_) : nullptr;
    host::verify::Reader& reader = around ? *around : link;
    if (auto read =
            host::verify::acquire(reader, {.address = kUnit, .owner = owner, .edid_input = subject_.input}))
      snapshot = std::move(*read);
  }
  talk.idle(protocol::base::milliseconds(2), now_);
  talk.add_to(tally);
  if (!snapshot.edid.empty()) ++verdicts.edids;
  if (!snapshot.edid.empty() && snapshot.edid != edid_) ++verdicts.edids_wrong;
  compare(snapshot, owner, talk.statistics().gate_broken(), verdicts);
  const Verdict verdict = host::verify::judge(subject_.kit, subject_.expectation, snapshot, {}).verdict;
  count(verdict, verdicts);
  return verdict;
}

// A set that was taken to be whole, of one moment and good for a verdict is what the unit latched, and no
// line that is too bad for any has a part in it.
void Bench::compare(const host::verify::Snapshot& snapshot, std::uint16_t owner, bool too_bad,
                    Verdicts& verdicts) const {
  if (snapshot.consistency != host::verify::Consistency::kLatched || !snapshot.trouble.empty() ||
      snapshot.wire.gate_broken) {
    return;
  }
  ++verdicts.sets;
  const auto* const image = shared_.latched(snapshot.generation, owner);
  const auto told = image == nullptr ? decltype(snapshot.points){} : host::verify::decode_image(*image);
  const bool right = std::equal(told.begin(), told.end(), snapshot.points.begin(), snapshot.points.end(),
                                [](const auto& one, const auto& other) {
                                  return one.first == other.first && same(one.second, other.second);
                                });
  if (!right || too_bad) ++verdicts.sets_wrong;
}

bool Bench::false_verdict(Verdict verdict) const {
  return verdict == (setup_.built == Built::kRight ? Verdict::kFail : Verdict::kPass);
}

bool Bench::true_verdict(Verdict verdict) const {
  return verdict == (setup_.built == Built::kRight ? Verdict::kPass : Verdict::kFail);
}

}  // namespace tests::soak
