#include "tests/soak/verify_run.hpp"

#include <algorithm>
#include <optional>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/catalogue.hpp"
#include "host/signal/find_timing.hpp"
#include "host/verify/acquire.hpp"
#include "host/verify/judgement.hpp"
#include "sim/unit/registers.hpp"
#include "sim/unit/strap_search.hpp"
#include "tests/soak/talk.hpp"

namespace tests::soak {

namespace {

using host::verify::Verdict;
using protocol::session::AllGuards;

constexpr int kRunsWithOneMix = 40;

host::link::LinkError explained(const protocol::session::Failure& failure) {
  if (failure.kind != protocol::session::FailureKind::kException) {
    return host::link::link_error(host::link::Fault::kSilent, "no answer");
  }
  auto error = host::link::link_error(host::link::Fault::kRefused, "refused");
  error.exception_code = static_cast<std::uint8_t>(failure.exception);
  return error;
}

// verify's reader, over a wire with faults.
class WireReader final : public host::verify::Reader {
 public:
  WireReader(Talk<AllGuards>& talk, Instant& now) : talk_{talk}, now_{now} {}

  host::link::Result<std::vector<std::uint16_t>> read(host::link::Table table, std::uint16_t address,
                                                      std::uint16_t count) override {
    const auto& outcome =
        talk_.ask(table == host::link::Table::kInput ? protocol::pdu::read_input_registers(address, count)
                                                     : protocol::pdu::read_holding_registers(address, count),
                  now_);
    if (!outcome.ok()) return tl::unexpected{explained(outcome.error())};
    std::vector<std::uint16_t> words(outcome.value().word_count());
    for (std::size_t i = 0; i < words.size(); ++i) {
      words[i] = outcome.value().word(static_cast<std::uint16_t>(i));
    }
    return words;
  }

  host::link::Result<void> write(std::uint16_t address, std::span<const std::uint16_t> words) override {
    const auto& outcome = talk_.ask(protocol::pdu::write_single_register(address, words.front()), now_);
    if (!outcome.ok()) return tl::unexpected{explained(outcome.error())};
    return {};
  }

  host::link::Result<host::link::DeviceObjects> identify() override {
    host::link::DeviceObjects objects;
    std::uint8_t from = 0;
    for (int pages = 0; pages < 8; ++pages) {
      const auto& outcome = talk_.ask(
          protocol::pdu::read_device_identification(protocol::pdu::ReadDeviceId::kExtended, from), now_);
      if (!outcome.ok()) return tl::unexpected{explained(outcome.error())};
      const auto page = outcome.value().identification();
      for (std::uint8_t i = 0; i < page.count(); ++i) {
        objects.emplace(page.object(i).id, std::string{page.object(i).text});
      }
      if (!page.more_follows()) break;
      from = page.next_object();
    }
    return objects;
  }

  host::link::Result<std::vector<std::uint16_t>> read_files(
      std::span<const protocol::pdu::FileRecord> groups) override {
    const auto& outcome = talk_.ask(protocol::pdu::read_file_records(groups), now_);
    if (!outcome.ok()) return tl::unexpected{explained(outcome.error())};
    const Octets octets = outcome.value().octets();
    std::vector<std::uint16_t> words;
    words.reserve(octets.size() / 2);
    std::size_t at = 2;
    for (const auto& group : groups) {
      at += 2;  // its length and the reference type
      for (std::uint16_t i = 0; i < group.count; ++i, at += 2)
        words.push_back(protocol::base::read_be16(octets, at));
    }
    return words;
  }

  [[nodiscard]] host::link::WireStatistics statistics() const override { return {talk_.statistics(), {}}; }

 private:
  Talk<AllGuards>& talk_;
  Instant& now_;
};

// A simulated unit and what its kit expects of it.
struct Subject {
  host::model::Kit kit;
  host::expect::Expectation expectation;
  sim::unit::Positions right;
  host::model::Timing source;
  std::uint16_t input;  // index of the one that the source feeds
};

std::optional<Subject> subject_of(const std::string& catalogue, const std::string& id) {
  const auto kit = host::model::load_kit(id, {catalogue});
  if (!kit) return std::nullopt;
  const auto expectation = host::expect::derive(*kit);
  if (!expectation) return std::nullopt;
  host::model::Timing source{};
  if (const auto* figures = std::get_if<host::model::Timing>(&kit->video.timing)) {
    source = *figures;
  } else {
    const auto found = host::signal::find_timing(std::get<std::string>(kit->video.timing));
    if (!found) return std::nullopt;
    source = *found;
  }
  const auto& inputs = kit->board.inputs;
  const auto input =
      std::find_if(inputs.begin(), inputs.end(), [&](const auto& one) { return one.id == kit->video.input; });
  if (input == inputs.end()) return std::nullopt;
  return Subject{*kit, *expectation, sim::unit::healthy_positions(*kit).positions, source,
                 static_cast<std::uint16_t>(input - inputs.begin())};
}

// One unit on one wire, verified again and again.
class Bench {
 public:
  Bench(const Subject& subject, const Mix& mix, bool built_wrong, std::uint64_t seed)
      : subject_{subject},
        built_wrong_{built_wrong},
        seed_{seed},
        unit_{setup(subject, built_wrong)},
        edid_{unit_.edid(subject.input)},
        registers_{unit_},
        wire_{mix, seed, registers_} {
    unit_.advance(unit_.now() + protocol::base::milliseconds(10'000));
    now_ = unit_.now();
  }

  // No fault any more, and none still at work: an answer that is late by 441 ms would outlast two whole runs
  // of a client that was told 5 ms. What it left in the port is still there.
  void calm() {
    wire_.calm();
    now_ = std::max(now_, wire_.last());
  }
  [[nodiscard]] const Counts& counts() const { return wire_.counts(); }

  Verdict verify(Tally& tally, Verdicts& verdicts) {
    unit_.advance(std::max(now_, unit_.now()));
    Talk<AllGuards> talk{wire_, ++seed_};
    host::verify::Snapshot snapshot;
    snapshot.trouble = "no answer";
    if (talk.open(now_).ok()) {
      WireReader reader{talk, now_};
      const auto owner = static_cast<std::uint16_t>(1 + seed_ % 0xFF00);
      if (auto read =
              host::verify::acquire(reader, {.address = kUnit, .owner = owner, .edid_input = subject_.input}))
        snapshot = std::move(*read);
    }
    talk.idle(protocol::base::milliseconds(2), now_);
    talk.add_to(tally);
    if (!snapshot.edid.empty()) ++verdicts.edids;
    if (!snapshot.edid.empty() && snapshot.edid != edid_) ++verdicts.edids_wrong;
    return host::verify::judge(subject_.kit, subject_.expectation, snapshot, {}).verdict;
  }

  [[nodiscard]] bool false_verdict(Verdict verdict) const {
    return verdict == (built_wrong_ ? Verdict::kPass : Verdict::kFail);
  }
  [[nodiscard]] bool true_verdict(Verdict verdict) const {
    return verdict == (built_wrong_ ? Verdict::kFail : Verdict::kPass);
  }

 private:
  // Wrong is the strap that selects the panel's supply, on another of its positions.
  static sim::unit::UnitSetup setup(const Subject& subject, bool built_wrong) {
    sim::unit::Positions straps = subject.right;
    if (built_wrong) {
      for (const auto& function : subject.kit.board.functions) {
        if (function.id != host::model::FunctionId::kPanelSupply) continue;
        for (const auto& row : function.rows) {
          const auto& setting = row.settings.front();
          const auto& pattern = setting.patterns.front();
          if ((straps[setting.strap].bits & pattern.care) == pattern.bits) continue;
          straps[setting.strap] = host::model::Position{pattern.bits};
          break;
        }
      }
    }
    return {subject.kit, straps, sim::unit::settings_of(subject.kit), subject.source, "SIM-000001", 0};
  }

  const Subject& subject_;
  bool built_wrong_;
  std::uint64_t seed_;
  sim::unit::Unit unit_;
  std::vector<std::uint8_t> edid_;
  sim::unit::Registers registers_;
  Wire wire_;
  Instant now_{};
};

void count(Verdict verdict, Verdicts& verdicts) {
  ++verdicts.runs;
  switch (verdict) {
    case Verdict::kPass: ++verdicts.passed; break;
    case Verdict::kFail: ++verdicts.failed; break;
    case Verdict::kIncomplete: ++verdicts.incomplete; break;
  }
}

}  // namespace

bool verify_runs(const std::string& catalogue, const std::string& kit, std::uint64_t seed,
                 std::uint64_t transactions, Tally& tally, Verdicts& verdicts) {
  const auto subject = subject_of(catalogue, kit);
  if (!subject) return false;
  Dice dice{seed};
  for (bool built_wrong = false; tally.transactions < transactions; built_wrong = !built_wrong) {
    Bench bench{*subject, draw_mix(dice), built_wrong, dice.next()};
    for (int run = 0; run < kRunsWithOneMix && tally.transactions < transactions; ++run) {
      const Verdict verdict = bench.verify(tally, verdicts);
      count(verdict, verdicts);
      if (bench.false_verdict(verdict)) ++(built_wrong ? verdicts.passed_falsely : verdicts.failed_falsely);
    }
    bench.calm();
    if (!bench.true_verdict(bench.verify(tally, verdicts)) &&
        !bench.true_verdict(bench.verify(tally, verdicts))) {
      ++verdicts.not_recovered;
    }
    tally.add(bench.counts());
  }
  return true;
}

}  // namespace tests::soak
