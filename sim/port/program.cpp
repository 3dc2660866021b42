#include "sim/port/program.hpp"

#include <cstdio>
#include <variant>

#include "host/model/catalogue.hpp"
#include "sim/port/catalogue_path.hpp"
#include "sim/port/serve.hpp"
#include "sim/port/specimen.hpp"
#include "sim/port/statistics.hpp"
#include "sim/script/run.hpp"
#include "sim/unit/strap_search.hpp"

namespace sim::port {
namespace {

namespace model = host::model;
using protocol::base::Instant;

// sysexits
constexpr int kUsage = 64;
constexpr int kDataError = 65;
constexpr int kNoInput = 66;
constexpr int kIoError = 74;
constexpr int kNoPermission = 77;
constexpr int kBySignal = 128;

constexpr auto kPoweredBefore = protocol::base::milliseconds(10'000);
// Units that nobody asks live on this often, so that the first who asks need not wait.
constexpr auto kCatchUp = protocol::base::milliseconds(1'000);

Ending ending(int code, const std::string& text) {
  return {code, "strapline-sim: " + text + "\n"};
}

Ending ending(const model::FileErrors& errors) {
  int code = kNoInput;
  std::string text;
  for (const model::FileError& error : errors) {
    if (error.kind == model::FileError::Kind::kUnreadable && code == kNoInput) code = kNoPermission;
    if (error.kind == model::FileError::Kind::kMalformed) code = kDataError;
    text += model::to_text(error) + "\n";
  }
  return {code, text};
}

// What the source sends: as asked, else what the kit wants of it.
tl::expected<std::optional<model::Timing>, Ending> source_of(const model::Kit& kit,
                                                             const std::optional<std::string>& asked) {
  const auto* figures = std::get_if<model::Timing>(&kit.video.timing);
  if (!asked && figures != nullptr) return *figures;
  const auto found = source_named(asked ? *asked : std::get<std::string>(kit.video.timing));
  if (found) return *found;
  if (asked) return tl::unexpected(ending(kUsage, "--source: " + found.error()));
  const model::FileError error{
      model::FileError::Kind::kMalformed, kit.about.path, kit.video.timing_place, "", found.error(), ""};
  return tl::unexpected(ending({error}));
}

// Everything a run is made of, in the order it is made.
class Program {
 public:
  explicit Program(const Options& options) : options_{options} {}

  Ending run() {
    if (const auto bad = prepare()) return *bad;
    return options_.ports.empty() ? run_script_alone() : serve_ports();
  }

 private:
  std::optional<Ending> prepare() {
    auto kit = model::load_kit(options_.kit, catalogue_path(options_.catalogues));
    if (!kit) return ending(kit.error());
    kit_ = *std::move(kit);
    const unit::Healthy healthy = unit::healthy_positions(kit_);
    unmet_ = healthy.unmet;
    const auto straps = with_straps(kit_.board, healthy.positions, options_.straps);
    if (!straps) return straps.error();
    straps_ = *straps;
    settings_ = unit::settings_of(kit_);
    for (const auto& [key, value] : options_.settings) {
      const auto changed = unit::with_setting(kit_, settings_, key, value);
      if (!changed) return ending(kUsage, changed.error());
      settings_ = *changed;
    }
    const auto source = source_of(kit_, options_.source);
    if (!source) return source.error();
    source_ = *source;
    if (!options_.script.empty()) {
      auto script = script::load_script(options_.script);
      if (!script) return ending(script.error());
      script_ = *std::move(script);
    }
    return build();
  }

  // The units of every port, and of a script without one.
  std::optional<Ending> build() {
    const std::size_t ports = options_.ports.empty() ? 1 : options_.ports.size();
    for (std::size_t port = 0; port < ports; ++port) {
      seats_.push_back(std::make_unique<Seats>());
      for (int i = 0; i < options_.units; ++i) {
        const auto n = static_cast<int>(specimens_.size());
        const std::uint64_t seed = options_.seed == 0 ? 0 : options_.seed + static_cast<std::uint64_t>(n);
        specimens_.push_back(std::make_unique<Specimen>(
            unit::UnitSetup{kit_, straps_, settings_, source_, serial_of(options_.serial, n), seed}));
        Specimen* const specimen = specimens_.back().get();
        if (!script_) specimen->live_until(Instant{} + kPoweredBefore);
        auto seat = std::make_unique<Seat>();
        seat->address = static_cast<std::uint8_t>(options_.address + i);
        seat->registers = &specimen->registers();
        seat->live_until = [this, specimen](Instant line) { specimen->live_until(clock_->unit_time(line)); };
        seats_.back()->push_back(std::move(seat));
      }
    }
    if (script_) {
      std::vector<script::Subject*> subjects;
      for (const auto& specimen : specimens_) subjects.push_back(specimen.get());
      script_run_.emplace(*script_, subjects);
    }
    return std::nullopt;
  }

  Ending run_script_alone() {
    while (const auto next = script_run_->next()) script_run_->go_on(*next);
    return script_ending();
  }

  Ending script_ending() const {
    Ending end;
    for (const model::FileError& failure : script_run_->failures())
      end.text += model::to_text(failure) + "\n";
    end.code = script_run_->failures().empty() ? 0 : 1;
    if (!options_.quiet) {
      end.text += options_.script + ": " + std::to_string(script_run_->expectations()) + " expected, " +
                  std::to_string(script_run_->failures().size()) + " wrong\n";
    }
    return end;
  }

  std::optional<Ending> open_ports() {
    const line::CharacterFormat format = line_format(kit_.board, options_);
    for (std::size_t i = 0; i < options_.ports.size(); ++i) {
      const PortSpec& port = options_.ports[i];
      const line::BusSettings bus{
          {format, format, options_.pace}, options_.noise, options_.seed + i, options_.turnaround};
      const OutletSetup setup{loop_, *seats_[i], bus, [this] { return clock_->now(); }};
      auto outlet = port.kind == PortSpec::Kind::kPty     ? make_pty_outlet(port.where, setup)
                    : port.kind == PortSpec::Kind::kTcp   ? make_tcp_outlet(port.where, setup)
                    : port.kind == PortSpec::Kind::kMbtcp ? make_mbtcp_outlet(port.where, setup)
                                                          : make_serial_outlet(port.where, setup);
      if (!outlet) return outlet.error();
      outlets_.push_back(*std::move(outlet));
    }
    return std::nullopt;
  }

  Ending serve_ports() {
    hold_signals();
    clock_.emplace(script_ ? Instant{} : Instant{} + kPoweredBefore, options_.speed.value_or(1));
    if (const auto bad = open_ports()) return *bad;
    if (!options_.quiet) {
      for (const std::string& unmet : unmet_) std::fprintf(stderr, "note: %s\n", unmet.c_str());
      for (const auto& outlet : outlets_) std::fprintf(stderr, "ready: %s\n", outlet->name().c_str());
    }
    bool over = false;
    std::vector<Errand> errands;
    errands.emplace_back([this](Instant now) -> std::optional<Instant> {
      for (const auto& specimen : specimens_) specimen->live_until(clock_->unit_time(now));
      return now + kCatchUp;
    });
    if (script_run_) {
      errands.emplace_back([this, &over](Instant now) -> std::optional<Instant> {
        script_run_->go_on(clock_->unit_time(now));
        const auto next = script_run_->next();
        over = !next;
        return next ? std::optional{clock_->line_time(*next)} : std::nullopt;
      });
    }
    const auto ended = serve({loop_, *clock_, outlets_, std::move(errands), over});
    if (!ended) return ending(kIoError, ended.error());
    Ending end = *ended == 0 ? script_ending() : Ending{kBySignal + *ended, {}};
    if (!options_.quiet) end.text = statistics_text(outlets_, options_.pace) + end.text;
    return end;
  }

  const Options& options_;
  model::Kit kit_;
  std::vector<std::string> unmet_;
  unit::Positions straps_;
  unit::Settings settings_;
  std::optional<model::Timing> source_;
  std::optional<script::Script> script_;
  Loop loop_;
  std::optional<Clock> clock_;
  std::vector<std::unique_ptr<Specimen>> specimens_;
  std::vector<std::unique_ptr<Seats>> seats_;  // by port
  std::optional<script::Run> script_run_;
  std::vector<std::unique_ptr<Outlet>> outlets_;
};

}  // namespace

Ending run(const Options& options) {
  return Program{options}.run();
}

}  // namespace sim::port
