#include <algorithm>

#include "host/model/nearest.hpp"
#include "host/model/part_file.hpp"
#include "host/model/words.hpp"
#include "protocol/points/words.hpp"

namespace host::model {
namespace {

namespace points = protocol::points;

/// The point of that name, or all points of that group; empty when there is neither.
std::vector<points::Point> named(std::string_view name) {
  if (const auto point = points::find(name)) return {*point};
  std::vector<points::Point> found;
  for (std::size_t n = 0; n < points::kPointCount; ++n) {
    const auto point = static_cast<points::Point>(n);
    const std::string_view full = points::words(point).name;
    if (full.substr(0, full.find('.')) == name) found.push_back(point);
  }
  return found;
}

void read_absent(TableReader& table, Board& board) {
  for (const auto& [name, place] : table.texts("absent", false)) {
    const auto found = named(name);
    if (found.empty()) table.complaints().add(place, "there is no point '" + name + "'", point_hint(name));
    board.absent.insert(board.absent.end(), found.begin(), found.end());
  }
  std::sort(board.absent.begin(), board.absent.end());
  board.absent.erase(std::unique(board.absent.begin(), board.absent.end()), board.absent.end());
}

void read_evidence(TableReader& table, Board& board) {
  for (const TomlNode& item : table.node().items) {
    const auto found = named(item.key);
    Evidence evidence = Evidence::kUnread;
    table.must(item.key, evidence, point_evidence_words());
    if (found.empty()) {
      table.complaints().add(item.key_place, "there is no point '" + item.key + "'", point_hint(item.key));
    }
    for (const auto point : found) {
      if (std::find(board.absent.begin(), board.absent.end(), point) != board.absent.end()) {
        table.complain(item.key, "has evidence, but is listed as absent", "take it out of one of the two");
        break;
      }
      board.evidence[point] = evidence;
    }
  }
}

}  // namespace

std::string point_hint(std::string_view name) {
  std::vector<std::string_view> names;
  names.reserve(points::groups().size() + points::kPointCount);
  for (const auto& group : points::groups()) names.push_back(group.name);
  for (const auto& words : points::all_words()) names.push_back(words.name);
  const auto meant = nearest(name, std::span<const std::string_view>(names));
  return meant ? "did you mean '" + *meant + "'?" : "write a point such as 'rails.panel_out_mv', or a group";
}

void read_points(TableReader& table, Board& board) {
  table.may_table("points", [&](TableReader& reader) {
    read_absent(reader, board);
    reader.may_table("evidence", [&](TableReader& evidence) { read_evidence(evidence, board); });
    reader.may("loose_accepted_because", board.loose_accepted_because);
  });
}

}  // namespace host::model
