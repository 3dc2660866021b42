#include "host/verify/foreign.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "host/link/plan/plan.hpp"
#include "host/verify/foreign_value.hpp"
#include "host/verify/identity.hpp"
#include "host/verify/rounds.hpp"
#include "protocol/points/layout.hpp"

namespace host::verify {
namespace {

using link::plan::Span;
using model::ForeignRegister;
using model::RegisterTable;
using protocol::points::Point;

constexpr std::array kTables{RegisterTable::kInputs, RegisterTable::kHolding, RegisterTable::kDiscretes,
                             RegisterTable::kCoils};
// As many unlike reads as a link needs in the place of fences; longer ones would only take longer.
constexpr int kProbeRegistersMax = 20;

bool of_bits(RegisterTable table) {
  return table == RegisterTable::kDiscretes || table == RegisterTable::kCoils;
}

Span span_of(const ForeignRegister& one) {
  return {one.address, static_cast<std::uint16_t>(one.words())};
}

// As the file says; else the registers themselves, those that touch in one.
std::vector<Span> readable(const model::Board& board, RegisterTable table) {
  std::vector<Span> spans;
  for (const model::ReadableRange& range : board.wire.readable) {
    if (range.table != table) continue;
    spans.push_back({range.address, static_cast<std::uint16_t>(std::min(range.count, 0xFFFF))});
  }
  if (!spans.empty()) return spans;
  for (const ForeignRegister& one : board.registers) {
    if (one.table == table) spans.push_back(span_of(one));
  }
  std::sort(spans.begin(), spans.end(), [](const Span& a, const Span& b) { return a.address < b.address; });
  std::vector<Span> joined;
  for (const Span& span : spans) {
    if (!joined.empty() && joined.back().end() == span.address) {
      joined.back().count = static_cast<std::uint16_t>(joined.back().count + span.count);
    } else {
      joined.push_back(span);
    }
  }
  return joined;
}

/// The registers of one board: which of them it doesn't have is known after the first round.
class ForeignPoints final : public PointSource {
 public:
  ForeignPoints(Reader& reader, const model::Board& board) : reader_{reader}, board_{board} {}

  link::Result<Points> read_all() override {
    return read_those([](Point) { return true; });
  }

  link::Result<Points> read_bracket() override {
    return read_those([](Point point) {
      return point == Point::kSnapshotBoot || point == Point::kSnapshotUptimeS ||
             point == Point::kSnapshotChanges;
    });
  }

 private:
  using Registers = std::vector<const ForeignRegister*>;

  template <typename Wanted>
  link::Result<Points> read_those(Wanted wanted) {
    Points points;
    for (const RegisterTable table : kTables) {
      Registers some;
      for (const ForeignRegister& one : board_.registers) {
        if (one.table == table && wanted(one.point) && !absent_.contains(one.point)) some.push_back(&one);
      }
      const link::Result<void> done = read_some(table, some, points);
      if (!done) return tl::unexpected{done.error()};
    }
    return points;
  }

  // A read that is refused is parted into those of its registers, and those that are refused alone are
  // absent.
  link::Result<void> read_some(RegisterTable table, const Registers& some, Points& points) {
    link::plan::Wish wish;
    for (const ForeignRegister* one : some) wish.wanted.push_back(span_of(*one));
    wish.whole = wish.wanted;
    wish.readable = readable(board_, table);
    wish.count_max = static_cast<std::uint16_t>(board_.wire.registers_max);
    const auto cell = of_bits(table) ? link::plan::Cell::kBit : link::plan::Cell::kRegister;
    for (const Span& span : plan_reads(wish, read_costs(reader_.line_cost(), cell))) {
      Registers inside;
      for (const ForeignRegister* one : some) {
        if (one->address < span.end() && span_of(*one).end() > span.address) inside.push_back(one);
      }
      link::Result<void> done = read_span(table, span);
      if (done) continue;
      if (done.error().fault != link::Fault::kRefused) return done;
      if (inside.size() == 1) {
        absent_.insert(inside.front()->point);
        continue;
      }
      for (const ForeignRegister* one : inside) {
        const link::Result<void> alone = read_some(table, {one}, points);
        if (!alone) return alone;
      }
    }
    for (const ForeignRegister* one : some) decode(*one, points);
    return {};
  }

  link::Result<void> read_span(RegisterTable table, const Span& span) {
    const auto keep = [&](const auto& words) {
      for (std::size_t i = 0; i < words.size(); ++i) {
        words_[{table, static_cast<std::uint32_t>(span.address + i)}] = static_cast<std::uint16_t>(words[i]);
      }
      return link::Result<void>{};
    };
    for (std::uint32_t at = span.address; at < span.end(); ++at) words_.erase({table, at});
    if (of_bits(table)) {
      const auto which = table == RegisterTable::kCoils ? link::BitTable::kCoils : link::BitTable::kDiscretes;
      const auto bits = reader_.read_bits(which, span.address, span.count);
      return bits ? keep(*bits) : link::Result<void>{tl::unexpected{bits.error()}};
    }
    const auto which = table == RegisterTable::kInputs ? link::Table::kInput : link::Table::kHolding;
    const auto words = reader_.read(which, span.address, span.count);
    return words ? keep(*words) : link::Result<void>{tl::unexpected{words.error()}};
  }

  void decode(const ForeignRegister& one, Points& points) const {
    std::vector<std::uint16_t> words;
    for (std::uint32_t at = one.address; at < span_of(one).end(); ++at) {
      if (const auto word = words_.find({one.table, at}); word != words_.end()) words.push_back(word->second);
    }
    if (words.size() == span_of(one).count && !absent_.contains(one.point)) {
      points[one.point] = foreign_reading(one, words);
    }
  }

  Reader& reader_;
  const model::Board& board_;
  std::set<Point> absent_;
  std::map<std::pair<RegisterTable, std::uint32_t>, std::uint16_t> words_;
};

}  // namespace

void suit(link::SessionOptions& options, const model::Board& board) {
  if (board.profile != model::WireProfile::kOwn) {
    // Who latches says so with a word of their own; those above the last mean that there is no value.
    constexpr std::uint16_t kLastOwner = 0xFFFC;
    options.writes.allow(protocol::points::layout(protocol::points::Point::kSnapshotLatch).address, 1,
                         kLastOwner);
    const auto& serial = protocol::points::layout(protocol::points::Point::kIdentitySerial);
    options.own_address = serial.address;
    options.own_count = protocol::points::register_count(serial.type);
    return;
  }
  options.has_diagnostics = board.wire.diagnostics;
  options.answer_time_max = protocol::base::Duration{board.wire.answer_time_max.count};
  for (const auto& [table, probe] : {std::pair{RegisterTable::kInputs, link::Table::kInput},
                                     std::pair{RegisterTable::kHolding, link::Table::kHolding}}) {
    for (const Span& span : readable(board, table)) {
      const int most = std::min({int{span.count}, board.wire.registers_max, kProbeRegistersMax});
      if (most <= options.probe_registers_max) continue;
      options.probe_table = probe;
      options.probe_address = span.address;
      options.probe_registers_max = static_cast<std::uint16_t>(most);
    }
  }
}

link::Result<void> read_foreign(Reader& reader, const model::Board& board, Snapshot& snapshot) {
  ForeignPoints source{reader, board};
  const auto said = snapshot.points;  // by its identification
  link::Result<void> done = read_in_rounds(reader, source, snapshot);
  if (!done) return done;
  if (snapshot.points.empty()) {
    return unusable(
        fmt::format("the unit answers, but has none of the registers of board {}", board.about.id),
        "check --address and what is connected");
  }
  snapshot.points.insert(said.begin(), said.end());
  return {};
}

}  // namespace host::verify
