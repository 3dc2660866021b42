#include <cstdio>
#include <string>
#include <variant>

#include "host/model/catalogue.hpp"
#include "host/signal/find_timing.hpp"
#include "sim/line/noise.hpp"
#include "sim/port/catalogue_path.hpp"
#include "sim/port/options.hpp"
#include "sim/port/pseudo_terminal.hpp"
#include "sim/port/serve.hpp"
#include "sim/unit/registers.hpp"
#include "sim/unit/strap_search.hpp"

namespace {

namespace model = host::model;
using sim::port::Ending;

// sysexits
constexpr int kUsage = 64;
constexpr int kDataError = 65;
constexpr int kNoInput = 66;
constexpr int kCantCreate = 73;
constexpr int kIoError = 74;
constexpr int kNoPermission = 77;
constexpr int kBySignal = 128;

constexpr auto kPoweredBefore = protocol::base::milliseconds(10'000);

int end(const Ending& ending) {
  std::fputs(ending.text.c_str(), ending.code == 0 ? stdout : stderr);
  return ending.code;
}

int end(int code, const std::string& text) {
  return end(Ending{code, "strapline-sim: " + text + "\n"});
}

int exit_code(const model::FileErrors& errors) {
  int code = kNoInput;
  for (const model::FileError& error : errors) {
    if (error.kind == model::FileError::Kind::kMalformed) return kDataError;
    if (error.kind == model::FileError::Kind::kUnreadable) code = kNoPermission;
  }
  return code;
}

int end(const model::FileErrors& errors) {
  std::string text;
  for (const model::FileError& error : errors) text += model::to_text(error) + "\n";
  return end(Ending{exit_code(errors), text});
}

// What the source sends: as asked, else what the kit wants of it.
tl::expected<std::optional<model::Timing>, Ending> source_of(const model::Kit& kit,
                                                             const std::optional<std::string>& asked) {
  if (asked == "none") return std::nullopt;
  const auto* figures = std::get_if<model::Timing>(&kit.video.timing);
  if (!asked && figures != nullptr) return *figures;
  const std::string name = asked ? *asked : std::get<std::string>(kit.video.timing);
  const auto found = host::signal::find_timing(name);
  if (found) return *found;
  if (asked) return tl::unexpected(Ending{kUsage, "strapline-sim: --source: " + found.error() + "\n"});
  const model::FileError error{
      model::FileError::Kind::kMalformed, kit.about.path, kit.video.timing_place, "", found.error(), ""};
  return tl::unexpected(Ending{kDataError, model::to_text(error) + "\n"});
}

int run(const sim::port::Options& options) {
  const auto kit = model::load_kit(options.kit, sim::port::catalogue_path(options.catalogues));
  if (!kit) return end(kit.error());

  const sim::unit::Healthy healthy = sim::unit::healthy_positions(*kit);
  const auto straps = sim::port::with_straps(kit->board, healthy.positions, options.straps);
  if (!straps) return end(straps.error());
  sim::unit::Settings settings = sim::unit::settings_of(*kit);
  for (const auto& [key, value] : options.settings) {
    const auto changed = sim::unit::with_setting(*kit, settings, key, value);
    if (!changed) return end(kUsage, changed.error());
    settings = *changed;
  }
  const auto source = source_of(*kit, options.source);
  if (!source) return end(source.error());
  const auto noise = sim::line::parse_noise(options.noise);
  if (!noise) return end(kUsage, noise.error());

  sim::unit::Unit unit{{*kit, *straps, settings, *source, options.serial, options.seed}};
  unit.advance(unit.now() + kPoweredBefore);
  sim::unit::Registers registers{unit};
  sim::line::Line line{*noise, options.seed};

  sim::port::hold_signals();
  const auto terminal = sim::port::PseudoTerminal::make(options.pty);
  if (!terminal) return end(kCantCreate, terminal.error());
  if (!options.quiet) {
    for (const std::string& unmet : healthy.unmet) std::fprintf(stderr, "note: %s\n", unmet.c_str());
    std::fprintf(stderr, "ready: %s\n", options.pty.c_str());
  }
  const protocol::rtu::LineTiming timing{
      static_cast<std::uint32_t>(kit->board.service.baud),
      static_cast<std::uint8_t>(kit->board.service.parity == "none" ? 10 : 11)};
  const auto signal = sim::port::serve(
      {unit, registers, line, **terminal, static_cast<std::uint8_t>(options.address), timing});
  return signal ? kBySignal + *signal : end(kIoError, signal.error());
}

}  // namespace

int main(int count, char** arguments) {
  const auto options = sim::port::parse_options(count, arguments);
  return options ? run(*options) : end(options.error());
}
