#include "host/verify/live.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <utility>
#include <vector>

#include "host/link/plan/plan.hpp"
#include "host/verify/rounds.hpp"
#include "protocol/points/layout.hpp"
#include "protocol/points/words.hpp"

namespace host::verify {
namespace {

using protocol::points::Group;
using protocol::points::Layout;
using protocol::points::Point;
using protocol::points::Table;

constexpr std::array kTables{Table::kInput, Table::kHolding};

bool is_read(const Layout& layout, Table table) {
  return layout.table == table && layout.access != protocol::points::Access::kControl;
}

const Group& bracket_group() {
  const auto groups = protocol::points::groups();
  return *std::find_if(groups.begin(), groups.end(),
                       [](const Group& group) { return group.name == "snapshot"; });
}

/// The live blocks of one unit: what of them it has is known after the first round.
class LiveBlocks final : public PointSource {
 public:
  explicit LiveBlocks(Reader& reader) : reader_{reader} {}

  /// All points the unit has, in the reads that take least.
  link::Result<Points> read_all() override {
    words_.clear();
    for (const Table table : kTables) {
      const link::Result<void> done = read_table(table, groups_in(table));
      if (!done) return tl::unexpected{done.error()};
    }
    return decoded();
  }

  link::Result<Points> read_bracket() override {
    words_.clear();
    if (absent_.contains({Table::kInput, bracket_group().address})) return Points{};
    const link::Result<void> done = read_table(Table::kInput, {bracket_group()});
    if (!done) return tl::unexpected{done.error()};
    return decoded();
  }

 private:
  using Place = std::pair<Table, std::uint32_t>;

  [[nodiscard]] std::vector<Group> groups_in(Table table) const {
    std::vector<Group> groups;
    for (const Group& group : protocol::points::groups()) {
      if (!absent_.contains({table, group.address}) && !wanted(table, group).empty()) groups.push_back(group);
    }
    return groups;
  }

  [[nodiscard]] static std::vector<link::plan::Span> wanted(Table table, const Group& group) {
    std::vector<link::plan::Span> spans;
    for (const Layout& layout : protocol::points::layouts()) {
      const bool inside =
          layout.address >= group.address && layout.address < group.address + protocol::points::kGroupSpan;
      if (inside && is_read(layout, table)) spans.push_back({layout.address, register_count(layout.type)});
    }
    return spans;
  }

  // Groups that stand beside each other may be read across; unused addresses in a group read 0.
  link::Result<void> read_table(Table table, const std::vector<Group>& groups) {
    link::plan::Wish wish;
    for (const Group& group : groups) {
      const auto spans = wanted(table, group);
      wish.wanted.insert(wish.wanted.end(), spans.begin(), spans.end());
      wish.whole.insert(wish.whole.end(), spans.begin(), spans.end());
      if (!wish.readable.empty() && wish.readable.back().end() == group.address) {
        wish.readable.back().count =
            static_cast<std::uint16_t>(wish.readable.back().count + protocol::points::kGroupSpan);
      } else {
        wish.readable.push_back({group.address, protocol::points::kGroupSpan});
      }
    }
    for (const auto& span : plan_reads(wish, read_costs(reader_.line_cost()))) {
      const link::Result<void> done = read_span(table, span, groups);
      if (!done) return done;
    }
    return {};
  }

  link::Result<void> read_span(Table table, const link::plan::Span& span, const std::vector<Group>& groups) {
    const auto where = table == Table::kInput ? link::Table::kInput : link::Table::kHolding;
    const auto words = reader_.read(where, span.address, span.count);
    if (words) {
      for (std::size_t i = 0; i < words->size(); ++i) {
        words_[{table, static_cast<std::uint32_t>(span.address + i)}] = (*words)[i];
      }
      return {};
    }
    if (words.error().fault != link::Fault::kRefused) return tl::unexpected{words.error()};
    // A group that isn't there spoils a read across it; each is then asked by itself, once.
    std::vector<Group> touched;
    for (const Group& group : groups) {
      if (group.address < span.end() && group.address + protocol::points::kGroupSpan > span.address) {
        touched.push_back(group);
      }
    }
    if (touched.size() == 1) {
      absent_.insert({table, touched.front().address});
      return {};
    }
    for (const Group& group : touched) {
      const link::Result<void> done = read_table(table, {group});
      if (!done) return done;
    }
    return {};
  }

  [[nodiscard]] Points decoded() const {
    Points readings;
    for (std::size_t i = 0; i < protocol::points::kPointCount; ++i) {
      const Layout& layout = protocol::points::layouts()[i];
      std::vector<std::uint16_t> words;
      for (std::uint32_t at = layout.address;
           at < std::uint32_t{layout.address} + register_count(layout.type); ++at) {
        const auto word = words_.find({layout.table, at});
        if (word != words_.end()) words.push_back(word->second);
      }
      if (layout.access == protocol::points::Access::kControl || words.size() < register_count(layout.type))
        continue;
      readings[static_cast<Point>(i)] = decode(static_cast<Point>(i), words);
    }
    return readings;
  }

  Reader& reader_;
  std::set<Place> absent_;  // groups, by their address
  std::map<Place, std::uint16_t> words_;
};

}  // namespace

link::Result<void> read_live(Reader& reader, Snapshot& snapshot) {
  LiveBlocks blocks{reader};
  return read_in_rounds(reader, blocks, snapshot);
}

}  // namespace host::verify
