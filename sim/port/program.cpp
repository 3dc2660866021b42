#include "sim/port/program.hpp"

#include <cstdio>
#include <map>
#include <variant>

#include "host/model/catalogue.hpp"
#include "sim/port/catalogue_path.hpp"
#include "sim/port/control.hpp"
#include "sim/port/keeping.hpp"
#include "sim/port/record.hpp"
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
constexpr int kCantCreate = 73;
constexpr int kIoError = 74;
constexpr int kNoPermission = 77;
constexpr int kBySignal = 128;

constexpr auto kPoweredBefore = protocol::base::milliseconds(10'000);
// Units that nobody asks live on this often, so that the first who asks need not wait.
// How often it is looked whether truth or memory have changed.
constexpr auto kLookEvery = protocol::base::milliseconds(100);
// The other unit of an address: a later one of the series, whose processor is a little behind.
constexpr int kTwinNumber = 1'000;
constexpr auto kTwinLag = protocol::base::microseconds(300);
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
  explicit Program(const Options& options) : options_{options}, record_{options.truth, options.seen} {}

  Ending run() {
    if (!options_.ports.empty()) hold_signals();
    if (const auto bad = prepare()) return *bad;
    return options_.ports.empty() ? run_script_alone() : serve_ports();
  }

 private:
  std::optional<Ending> prepare() {
    catalogue_ = catalogue_path(options_.catalogues);
    auto kit = model::load_kit(options_.kit, catalogue_);
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
    if (const auto bad = remember()) return bad;
    return build();
  }

  // What the unit's memory holds from the time before.
  std::optional<Ending> remember() {
    if (options_.state.empty()) return std::nullopt;
    keeping_.emplace(options_.state);
    const auto start = keeping_->start(kit_);
    if (!start) return start.error();
    memory_ = start->memory;
    lost_ = start->lost;
    if (!start->note.empty()) std::fprintf(stderr, "note: %s\n", start->note.c_str());
    // What is asked for on the command line was set by hand since.
    if (!memory_ || options_.settings.empty()) return std::nullopt;
    for (const auto& [key, value] : options_.settings) {
      memory_->settings = unit::with_setting(kit_, memory_->settings, key, value).value_or(memory_->settings);
    }
    return std::nullopt;
  }

  // The units of every port, and of a script without one.
  std::optional<Ending> build() {
    format_ = line_format(kit_.board, options_);
    const std::size_t ports = options_.ports.empty() ? 1 : options_.ports.size();
    for (std::size_t port = 0; port < ports; ++port) {
      seats_.push_back(std::make_unique<Seats>());
      for (int i = 0; i < options_.units; ++i) {
        specimens_.push_back(make_unit(static_cast<int>(specimens_.size())));
        Specimen& specimen = *specimens_.back();
        Seat& seat = take_seat(*seats_.back(), specimen, options_.address + i);
        specimen.when_line_changes([this, port, &specimen, &seat] { line_changed(port, specimen, seat); });
        for (const std::string& fault : options_.faults) {
          const auto done = specimen.perform({script::Verb::kFault, fault});
          if (!done) return ending(kUsage, "--fault: " + done.error());
        }
        if (lost_) (void)specimen.perform({script::Verb::kFault, "settings-lost"});
        if (!script_) specimen.live_until(Instant{} + kPoweredBefore);
      }
    }
    if (script_) {
      std::vector<script::Subject*> subjects;
      subjects.reserve(specimens_.size());
      for (const auto& specimen : specimens_) subjects.push_back(specimen.get());
      script_run_.emplace(*script_, subjects);
    }
    return std::nullopt;
  }

  std::unique_ptr<Specimen> make_unit(int n) const {
    const std::uint64_t seed = options_.seed == 0 ? 0 : options_.seed + static_cast<std::uint64_t>(n);
    unit::UnitSetup setup{kit_, straps_, settings_, source_, serial_of(options_.serial, n), seed};
    setup.within = options_.within_edge ? unit::Within::kEdge : unit::Within::kTypical;
    setup.memory = memory_;
    setup.shelf.panel = [catalogue = catalogue_](std::string_view id) -> std::optional<model::Panel> {
      const auto panel = model::load_panel(id, catalogue);
      return panel ? std::optional{*panel} : std::nullopt;
    };
    setup.shelf.kit = [catalogue = catalogue_](std::string_view id) -> std::optional<model::Kit> {
      const auto kit = model::load_kit(id, catalogue);
      return kit ? std::optional{*kit} : std::nullopt;
    };
    return std::make_unique<Specimen>(std::move(setup), format_);
  }

  Seat& take_seat(Seats& seats, Specimen& specimen, int address) {
    auto seat = std::make_unique<Seat>();
    seat->address = static_cast<std::uint8_t>(address);
    seat->answerer = specimen.answerer();
    seat->live_until = [this, &specimen](Instant line) { specimen.live_until(clock_->unit_time(line)); };
    seat->answers = [&specimen] { return specimen.unit().answers(); };
    seat->fault_acts = [&specimen](line::Acted how) { specimen.line_fault_acts(how); };
    seat->asked_by = [&specimen](unit::Asker asker) { specimen.registers().asked_by(asker); };
    seat->link_lost = [&specimen](unit::Asker asker) { specimen.registers().link_lost(asker); };
    seats.push_back(std::move(seat));
    return *seats.back();
  }

  void line_changed(std::size_t port, const Specimen& specimen, Seat& seat) {
    seat.fault = specimen.line_trouble().station;
    Seat*& twin = twin_seats_[&specimen];
    if (specimen.line_trouble().clash && twin == nullptr) {
      twins_.push_back(make_unit(kTwinNumber + static_cast<int>(twins_.size())));
      twins_.back()->live_until(specimen.unit().now());
      twin = &take_seat(*seats_[port], *twins_.back(), seat.address);
      twin->fault.lag = kTwinLag;
      twin->fault.intruder = true;
      twin->fault_acts = seat.fault_acts;  // whose fault it is
    }
    if (twin != nullptr) twin->attached = specimen.line_trouble().clash;
    if (port < outlets_.size()) outlets_[port]->sync();
  }

  Ending run_script_alone() {
    if (keeping_ && !keeping_->keep_all(specimens_.front()->unit().memory())) return {kCantCreate, {}};
    while (const auto next = script_run_->next()) {
      script_run_->go_on(*next);
      if (const auto bad = write_down(*next)) return *bad;
    }
    if (const auto bad = write_last()) return *bad;
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

  // Keeps the files of the first unit as it is now: memory and truth, and at the end what the eye sees.
  std::optional<Ending> write_down(Instant now) {
    const Specimen& specimen = *specimens_.front();
    if (keeping_) (void)keeping_->keep(specimen.unit().memory(), now);
    return record_.write(specimen);
  }
  std::optional<Ending> write_last() {
    const Specimen& specimen = *specimens_.front();
    if (keeping_) (void)keeping_->keep_all(specimen.unit().memory());
    auto bad = record_.write(specimen);
    if (auto worse = record_.draw(specimen)) bad = std::move(worse);
    return bad;
  }

  std::optional<Ending> open_ports() {
    for (std::size_t i = 0; i < options_.ports.size(); ++i) {
      const PortSpec& port = options_.ports[i];
      const line::BusSettings bus{
          {format_, format_, options_.pace}, options_.noise, options_.seed + i, options_.turnaround};
      const OutletSetup setup{loop_, *seats_[i], bus, [this] { return clock_->now(); },
                              options_.remove_folder};
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
    clock_.emplace(script_ ? Instant{} : Instant{} + kPoweredBefore, options_.speed.value_or(1));
    if (const auto bad = open_ports()) return *bad;
    // Now, so that a file that can't be written is told before anyone works with the unit.
    if (keeping_ && !keeping_->keep_all(specimens_.front()->unit().memory())) return {kCantCreate, {}};
    if (auto bad = record_.write(*specimens_.front())) return *std::move(bad);
    if (auto bad = record_.draw(*specimens_.front())) return *std::move(bad);
    if (!options_.control.empty()) {
      auto control = ControlSocket::make(options_.control, loop_, [this](std::string_view line) {
        for (const auto& specimen : specimens_) specimen->live_until(clock_->unit_time(clock_->now()));
        return answer_control(line, specimens_, [this](const Specimen& specimen) {
          return &specimen == specimens_.front().get() ? record_.draw(specimen) : std::nullopt;
        });
      });
      if (!control) return control.error();
      control_ = *std::move(control);
    }
    if (!options_.quiet) {
      std::string text;  // in one piece, so that who waits for the first line has them all
      for (const std::string& unmet : unmet_) text += "note: " + unmet + "\n";
      for (const auto& outlet : outlets_) text += "ready: " + outlet->name() + "\n";
      std::fputs(text.c_str(), stderr);
    }
    if (keeping_) {
      specimens_.front()->registers().when_written([this] {
        const unit::Unit& unit = specimens_.front()->unit();
        (void)keeping_->keep(unit.memory(), unit.now());
      });
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
    if (!options_.truth.empty() || keeping_) {
      errands.emplace_back([this, complained = false](Instant now) mutable -> std::optional<Instant> {
        specimens_.front()->live_until(clock_->unit_time(now));
        // Tried again every time: a full disk may be cleared, and the memory is kept beside the truth.
        const auto bad = write_down(specimens_.front()->unit().now());
        if (bad && !complained) std::fputs(bad->text.c_str(), stderr);
        complained = bad.has_value();
        return now + kLookEvery;
      });
    }
    const auto ended = serve({loop_, *clock_, outlets_, std::move(errands), over});
    if (!ended) return ending(kIoError, ended.error());
    if (const auto bad = write_last()) std::fputs(bad->text.c_str(), stderr);
    Ending end = *ended == 0 ? script_ending() : Ending{kBySignal + *ended, {}};
    if (!options_.quiet) end.text = statistics_text(outlets_, options_.pace) + end.text;
    return end;
  }

  const Options& options_;
  model::Catalogue catalogue_;
  model::Kit kit_;
  std::optional<Keeping> keeping_;
  std::optional<unit::Memory> memory_;
  bool lost_ = false;
  Record record_;
  std::vector<std::string> unmet_;
  unit::Positions straps_;
  unit::Settings settings_;
  line::CharacterFormat format_;
  std::optional<model::Timing> source_;
  std::optional<script::Script> script_;
  Loop loop_;
  std::optional<Clock> clock_;
  std::vector<std::unique_ptr<Specimen>> specimens_;
  std::vector<std::unique_ptr<Specimen>> twins_;
  std::map<const Specimen*, Seat*> twin_seats_;
  std::vector<std::unique_ptr<Seats>> seats_;  // by port
  std::optional<script::Run> script_run_;
  std::vector<std::unique_ptr<Outlet>> outlets_;
  std::unique_ptr<ControlSocket> control_;
};

}  // namespace

Ending run(const Options& options) {
  return Program{options}.run();
}

}  // namespace sim::port
