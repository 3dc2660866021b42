#include <algorithm>

#include "host/model/part_file.hpp"
#include "host/model/words.hpp"

namespace host::model {
namespace {

constexpr std::size_t kPinsMin = 2;
constexpr std::size_t kPinsMax = 13;  // 12 bits
constexpr int kWaysMax = 12;

void read_jumper(TableReader& table, Strap& strap) {
  for (auto& [net, place] : table.texts("nets", true)) strap.nets.push_back(net);
  if (table.has("nets") && (strap.nets.size() < kPinsMin || strap.nets.size() > kPinsMax)) {
    table.complain("nets", "names " + std::to_string(strap.nets.size()) + " pins",
                   "a jumper has 2 to 13 pins; name each pin's net, in order");
    strap.nets.resize(kPinsMin);
  }
  strap.count = static_cast<std::uint16_t>(strap.nets.size());
}

void read_bank(TableReader& table, Strap& strap) {
  int ways = 1;
  table.must_whole("ways", ways, 1, kWaysMax);
  strap.count = static_cast<std::uint16_t>(ways);
}

void read_index(TableReader& table, Strap& strap) {
  if (strap.evidence == Evidence::kUnread) {
    if (table.take("index", false) != nullptr) {
      table.complain("index", "is for straps that are sensed, and this one isn't", "take it out");
    }
    return;
  }
  int index = 0;
  table.must_whole("index", index, 0, protocol::points::kStrapCountMax - 1);
  strap.index = static_cast<std::uint16_t>(index);
}

void read_turn(TableReader& table, Strap& strap) {
  table.may_whole("turn", strap.turn_degrees, 0, 270);
  if (strap.turn_degrees % 90 != 0) {
    table.complain("turn", "is " + std::to_string(strap.turn_degrees), "write 0, 90, 180 or 270");
  }
}

void read_strap(TableReader& table, Strap& strap) {
  table.must("id", strap.id);
  table.must("kind", strap.kind, words_for<StrapKind>());
  const bool jumper = strap.kind == StrapKind::kJumper;
  const std::string_view prefix = jumper ? "BR" : "S";
  if (!strap.id.empty() && table.has("kind") && !is_designator(strap.id, prefix)) {
    table.complain("id",
                   "of a " + std::string(jumper ? "jumper" : "switch bank") + " is " + std::string(prefix) +
                       " and a number, got '" + strap.id + "'",
                   "such as \"" + std::string(prefix) + "2\"");
  }
  if (jumper) {
    read_jumper(table, strap);
  } else {
    read_bank(table, strap);
  }
  table.must_pair("at", ',', strap.x, strap.y, kFromZero);
  read_turn(table, strap);
  table.must("evidence", strap.evidence, strap_evidence_words());
  read_index(table, strap);
  table.may("look", strap.look);
}

void check_against(TableReader& table, const Strap& strap, const Strap& other) {
  if (!strap.id.empty() && strap.id == other.id) {
    table.complain("id", "'" + strap.id + "' is taken by another strap of this file",
                   "give each strap its own number");
  }
  const bool both_read = strap.evidence != Evidence::kUnread && other.evidence != Evidence::kUnread;
  if (both_read && table.has("index") && strap.index == other.index) {
    table.complain("index", std::to_string(strap.index) + " is taken by " + other.id,
                   "each sensed strap has a word of its own");
  }
}

}  // namespace

void read_straps(TableReader& table, std::vector<Strap>& straps) {
  table.may_tables("strap", [&](TableReader& reader) {
    Strap strap;
    read_strap(reader, strap);
    for (const Strap& other : straps) check_against(reader, strap, other);
    straps.push_back(std::move(strap));
  });
}

}  // namespace host::model
