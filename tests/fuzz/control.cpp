#include "sim/port/control.hpp"

#include <algorithm>
#include <memory>
#include <vector>

#include "host/model/catalogue.hpp"
#include "sim/port/memory_text.hpp"
#include "sim/port/specimen.hpp"
#include "sim/port/state_file.hpp"
#include "sim/unit/strap_search.hpp"
#include "tests/fuzz/memory_file.hpp"
#include "tests/fuzz/promises.hpp"
#include "tests/fuzz/targets.hpp"

namespace tests::fuzz {
namespace {

using sim::port::Specimen;

const host::model::Kit& known_kit() {
  static const host::model::Kit kit = [] {
    const auto loaded = host::model::load_kit("stop-display", {source_path("host/catalog")});
    must(loaded.has_value(), "the catalogue's kit loads");
    return *loaded;
  }();
  return kit;
}

sim::unit::UnitSetup healthy() {
  static const sim::unit::UnitSetup setup = [] {
    sim::unit::UnitSetup made;
    made.kit = known_kit();
    made.straps = sim::unit::healthy_positions(known_kit()).positions;
    made.settings = sim::unit::settings_of(known_kit());
    made.source = *sim::port::source_named("dmt 52h");
    made.serial = "SIM-000001";
    made.seed = 0;
    made.shelf.panel = [](std::string_view id) -> std::optional<host::model::Panel> {
      const auto panel = host::model::load_panel(id, {source_path("host/catalog")});
      return panel ? std::optional{*panel} : std::nullopt;
    };
    made.shelf.kit = [](std::string_view) -> std::optional<host::model::Kit> { return known_kit(); };
    return made;
  }();
  return setup;
}

}  // namespace

void control(Octets input) {
  constexpr std::size_t kLinesMax = 8;
  std::vector<std::unique_ptr<Specimen>> specimens;
  specimens.push_back(std::make_unique<Specimen>(healthy(), sim::line::CharacterFormat{}));
  protocol::base::Instant now{};
  std::string_view rest{reinterpret_cast<const char*>(input.data()), input.size()};
  for (std::size_t lines = 0; lines < kLinesMax && !rest.empty(); ++lines) {
    const std::string_view line = rest.substr(0, rest.find('\n'));
    rest.remove_prefix(std::min(rest.size(), line.size() + 1));
    if (line.size() > sim::port::ControlSocket::kLineMax) continue;  // the socket takes none of these
    const std::string answer = sim::port::answer_control(line, specimens);
    must(answer.starts_with("ok ") || answer.starts_with("error: "), "an answer says whether it was done");
    must(std::none_of(answer.begin(), answer.end(),
                      [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; }),
         "an answer is one line without control characters");
    // Long enough to move what is under way; every fourth time to its end. More would be most of what a run
    // costs.
    now += lines % 4 == 3 ? protocol::base::milliseconds(50) : protocol::base::milliseconds(2);
    specimens.front()->live_until(now);
  }
}

void memory(Octets input) {
  std::string text = text_of(input);
  const MemoryFile file{input};
  sim::port::StateFile state{file.path()};
  const auto loaded = state.load();
  must(loaded.has_value(), "a file that is there is read, whole or not");
  if (loaded->octets) text = *loaded->octets;
  const auto memory = sim::port::parse_memory(text, known_kit());
  if (!memory) return;
  // Once written, texts have no control characters left.
  const std::string written = sim::port::to_text(*memory);
  const auto again = sim::port::parse_memory(written, known_kit());
  must(again && sim::port::to_text(*again) == written, "a memory written is read back");
  sim::unit::UnitSetup setup = healthy();
  setup.memory = memory;
  sim::unit::Unit unit{std::move(setup)};
  unit.advance(protocol::base::Instant{protocol::base::milliseconds(3000)});
  for (std::size_t i = 0; i < protocol::points::kPointCount; ++i) {
    (void)unit.value(static_cast<protocol::points::Point>(i));
  }
}

}  // namespace tests::fuzz
