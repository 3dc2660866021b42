#include <algorithm>

#include "host/model/board_file.hpp"
#include "host/model/part_file.hpp"
#include "host/model/words.hpp"
#include "protocol/points/words.hpp"

namespace host::model {
namespace {

constexpr Rules kTolerance{.min = 0, .max = 500'000};

void read_places(TableReader& table, Rail& rail) {
  const std::string id(word_for(rail.id));
  for (const auto& [name, place] : table.texts("places", true)) {
    std::string point = "rails.";
    point.append(id).append("_").append(name).append("_mv");
    if (!protocol::points::find(point)) {
      table.complaints().add(place, "there is no point '" + point + "'",
                             rail.id == RailId::kPanel ? "places: selected, out" : "places: out");
    }
    if (std::find(rail.places.begin(), rail.places.end(), name) != rail.places.end()) {
      table.complaints().add(place, "'" + name + "' stands twice", "name each place once");
    }
    rail.places.push_back(name);
  }
}

void read_choices(TableReader& table, Rail& rail) {
  const bool regulated = rail.origin == RailOrigin::kRegulated;
  if (!regulated) {
    for (const char* key : {"choices", "tolerance"}) {
      if (table.take(key, false) == nullptr) continue;
      table.complain(key, "is for a rail the board makes, and this one is passed through", "take it out");
    }
    return;
  }
  for (const auto& [text, place] : table.texts("choices", true)) {
    const auto choice = parse<Millivolts>(text);
    if (!choice || choice->count == 0) {
      table.complaints().add(place, "'choices' " + (choice ? "must be above zero" : choice.error()));
      continue;
    }
    if (!rail.choices.empty() && *choice <= rail.choices.back()) {
      table.complaints().add(place, "'choices' must rise", "write each voltage once, lowest first");
    }
    rail.choices.push_back(*choice);
  }
  Canonical canonical = Canonical::list();
  for (const Millivolts choice : rail.choices) canonical.add(Canonical::of(choice.count));
  table.keep("choices", std::move(canonical));
  table.must_tolerance("tolerance", rail.tolerance, kTolerance);
}

}  // namespace

void read_rail(TableReader& table, Rail& rail) {
  table.must("id", rail.id, words_for<RailId>());
  table.must("origin", rail.origin, words_for<RailOrigin>());
  read_places(table, rail);
  read_choices(table, rail);
  table.must("current_max", rail.current_max);
  table.must("fuse", rail.fuse);
  table.must_tolerance("uncertainty", rail.uncertainty, kTolerance);
}

}  // namespace host::model
