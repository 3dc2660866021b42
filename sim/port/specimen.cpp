#include "sim/port/specimen.hpp"

#include "host/signal/find_timing.hpp"
#include "sim/port/options.hpp"

namespace sim::port {

namespace model = host::model;
using script::Verb;

Specimen::Specimen(unit::UnitSetup setup) : unit_{std::move(setup)}, registers_{unit_} {}

void Specimen::live_until(protocol::base::Instant until) {
  unit_.advance(until);
}

unit::Value Specimen::value(protocol::points::Point point) const {
  return unit_.value(point);
}

script::Eye Specimen::eye() const {
  return {};
}

tl::expected<void, std::string> Specimen::perform(const script::Act& act) {
  switch (act.verb) {
    case Verb::kPlug: {
      const auto source = source_named(act.argument);
      if (!source) return tl::unexpected(source.error());
      unit_.connect_source(*source);
      return {};
    }
    case Verb::kUnplug: unit_.connect_source(std::nullopt); return {};
    case Verb::kStrap: {
      const std::size_t equals = act.argument.find('=');
      if (equals == std::string::npos) return tl::unexpected(std::string{"strap takes STRAP=POSITION, as BR1=2-3"});
      const model::Board& board = unit_.kit().board;
      const std::string id = act.argument.substr(0, equals);
      const auto moved = with_straps(board, unit_.setup().straps, {{id, act.argument.substr(equals + 1)}});
      if (!moved) return tl::unexpected(moved.error().text);
      for (std::size_t i = 0; i < board.straps.size(); ++i) {
        if (board.straps[i].id == id) unit_.move_strap(i, (*moved)[i]);
      }
      return {};
    }
    default: return tl::unexpected("this unit can't " + std::string{script::words_of(act.verb).name});
  }
}

tl::expected<std::optional<model::Timing>, std::string> source_named(const std::string& name) {
  if (name == "none") return std::nullopt;
  const auto found = host::signal::find_timing(name);
  if (!found) return tl::unexpected(found.error());
  return *found;
}

}  // namespace sim::port
