#include "host/model/catalogue.hpp"

#include <algorithm>
#include <vector>

#include "host/model/canonical.hpp"
#include "host/model/part_file.hpp"
#include "tests/fuzz/memory_file.hpp"
#include "tests/fuzz/promises.hpp"
#include "tests/fuzz/targets.hpp"

namespace tests::fuzz {
namespace {

using host::model::FromFile;
using host::model::Kit;
using host::model::Loaded;
using host::model::SourceFile;

// Those of the catalogue, to put a part into.
const std::vector<Kit>& known_kits() {
  static const std::vector<Kit> kits = [] {
    const host::model::Catalogue catalogue{source_path("host/catalog")};
    std::vector<Kit> loaded;
    for (const std::string& id : host::model::kit_ids(catalogue)) {
      const auto kit = host::model::load_kit(id, catalogue);
      must(kit.has_value(), "the catalogue's kits load");
      loaded.push_back(*kit);
    }
    return loaded;
  }();
  return kits;
}

// Gives what the file describes, if it describes anything.
template <typename T>
std::optional<T> read(Octets input, Loaded<FromFile<T>> (*read_part)(const SourceFile&)) {
  SourceFile file{"fuzz.toml", text_of(input)};
  const auto part = read_part(file);
  if (!part) {
    hold_errors(part.error(), file.text);
    return std::nullopt;
  }
  const std::string said = canonical_json(part->canonical);
  file.text += "\n# nothing\n";
  const auto again = read_part(file);
  must(again && canonical_json(again->canonical) == said, "a comment changes nothing");
  return part->part;
}

// One of the catalogue's kits, drawn by the file, with the part in its place.
template <typename Put>
void hold_in_a_kit(Octets input, Put put) {
  Kit kit = known_kits()[input.size() % known_kits().size()];
  if (put(kit)) hold_on_paper(kit);
}

}  // namespace

void panels(Octets input) {
  if (const auto panel = read(input, host::model::read_panel)) {
    hold_in_a_kit(input, [&](Kit& kit) {
      kit.panel = *panel;
      return true;
    });
  }
}

void boards(Octets input) {
  if (const auto board = read(input, host::model::read_board)) {
    hold_in_a_kit(input, [&](Kit& kit) {
      kit.board = *board;
      // What loading a kit asks of its board.
      if (kit.board.inputs.empty()) return false;
      kit.video.input = kit.board.inputs.front().id;
      kit.accept.attested.clear();
      return true;
    });
  }
}

void cables(Octets input) {
  if (const auto cable = read(input, host::model::read_cable)) {
    hold_in_a_kit(input, [&](Kit& kit) {
      if (kit.cables.empty()) return false;
      auto at = kit.cables.begin();
      std::advance(at, static_cast<std::ptrdiff_t>(input.back() % kit.cables.size()));
      at->second = *cable;
      return true;
    });
  }
}

void supplies(Octets input) {
  if (const auto supply = read(input, host::model::read_supply)) {
    hold_in_a_kit(input, [&](Kit& kit) {
      kit.supply = *supply;
      return true;
    });
  }
}

void keypads(Octets input) {
  if (const auto keypad = read(input, host::model::read_keypad)) {
    hold_in_a_kit(input, [&](Kit& kit) {
      kit.keypad = *keypad;
      return true;
    });
  }
}

void kits(Octets input) {
  const MemoryFile file{input};
  const auto kit = host::model::load_kit(file.path(), {source_path("host/catalog")});
  if (!kit) return hold_errors(kit.error(), text_of(input));
  must(kit->digest.size() == 64, "a kit has its digest");
  hold_on_paper(*kit);
}

}  // namespace tests::fuzz
