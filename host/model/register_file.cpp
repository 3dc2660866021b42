#include <algorithm>
#include <array>
#include <charconv>
#include <optional>

#include "host/model/part_file.hpp"
#include "host/model/words.hpp"
#include "protocol/points/layout.hpp"
#include "protocol/points/words.hpp"

namespace host::model {
namespace {

constexpr int kAddressMax = 65'535;
constexpr int kReadMax = 125;             // registers of one read; MODBUS Application Protocol V1.1b3, 6.3
constexpr int kTextLengthMax = 16;        // registers, of the longest text a point holds
constexpr std::size_t kProductMax = 245;  // octets of one identification object; the same, 6.21
constexpr std::int64_t kScaleMax = 1'000'000;
constexpr auto kWordOrders = std::to_array<Word<bool>>({{"high-first", false}, {"low-first", true}});

std::optional<std::int64_t> whole(std::string_view text) {
  std::int64_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool sound = error == std::errc() && end == text.data() + text.size();
  return sound && value >= 1 && value <= kScaleMax ? std::optional(value) : std::nullopt;
}

/// "10", or "1/10".
void read_scale(TableReader& table, ForeignRegister& one) {
  if (!table.has("scale")) return;
  std::string text;
  table.must("scale", text);
  if (text.empty()) return;
  const std::size_t stroke = std::min(text.find('/'), text.size());
  const auto times = whole(std::string_view(text).substr(0, stroke));
  const auto divided_by = stroke == text.size() ? std::optional<std::int64_t>(1)
                                                : whole(std::string_view(text).substr(stroke + 1));
  if (times && divided_by) {
    one.times = *times;
    one.divided_by = *divided_by;
    return;
  }
  table.complain("scale", "expects a whole number or a share such as \"1/10\", got '" + text + "'",
                 "value = register x scale, both numbers from 1 to 1000000");
}

bool is_bits(RegisterTable table) {
  return table == RegisterTable::kDiscretes || table == RegisterTable::kCoils;
}

void check_point(TableReader& table, const ForeignRegister& one) {
  const protocol::points::Layout& layout = protocol::points::layout(one.point);
  const std::string name(protocol::points::words(one.point).name);
  if (layout.access == protocol::points::Access::kControl) {
    table.complain("point", "'" + name + "' is written, and nothing is ever written to such a board",
                   "take it out");
  }
  const bool text = is_text(layout.type);
  if (!text && one.type == RegisterType::kText) {
    table.complain("type", "is text, and '" + name + "' is a number", "write u16, s16, u32, s32 or bit");
  }
  if (text && (one.type == RegisterType::kBit || one.times != 1 || one.divided_by != 1)) {
    table.complain("type", "'" + name + "' is a text", "write \"text\", or a whole number without a scale");
  }
}

void check_kind(TableReader& table, const ForeignRegister& one) {
  if (is_bits(one.table) != (one.type == RegisterType::kBit)) {
    table.complain("type",
                   "is " + std::string(word_for(one.type)) + ", which a table of " +
                       std::string(word_for(one.table)) + " doesn't hold",
                   is_bits(one.table) ? "write \"bit\"" : "write u16, s16, u32, s32 or text");
  }
  if (one.address + one.words() - 1 > kAddressMax) {
    table.complain("address", "leaves no room for all its words",
                   "32 bits take two addresses, a text one for two letters");
  }
}

void read_register(TableReader& table, ForeignRegister& one, const Board& board) {
  std::string name;
  table.must("point", name);
  const auto point = protocol::points::find(name);
  if (point) {
    one.point = *point;
    if (std::find(board.absent.begin(), board.absent.end(), *point) != board.absent.end()) {
      table.complain("point", "has a register, but is listed as absent", "take it out of one of the two");
    }
  } else if (!name.empty()) {
    table.complain("point", "there is no point '" + name + "'", point_hint(name));
  }
  table.must("table", one.table, words_for<RegisterTable>());
  int address = 0;
  table.must_whole("address", address, 0, kAddressMax);
  one.address = static_cast<std::uint16_t>(address);
  table.must("type", one.type, words_for<RegisterType>());
  if (one.type == RegisterType::kText) table.must_whole("length", one.length, 1, kTextLengthMax);
  if (one.type == RegisterType::kU32 || one.type == RegisterType::kS32)
    table.must("word_order", one.low_word_first, std::span<const Word<bool>>(kWordOrders));
  read_scale(table, one);
  check_kind(table, one);
  if (point) check_point(table, one);
  for (const ForeignRegister& other : board.registers) {
    if (point && other.point == one.point) {
      table.complain("point", "'" + name + "' has a register already", "give each point one place");
    }
    const bool meet = other.table == one.table && other.address < one.address + one.words() &&
                      one.address < other.address + other.words();
    if (meet) {
      table.complain("address",
                     std::to_string(one.address) + " is taken by " +
                         std::string(protocol::points::words(other.point).name),
                     "32 bits take two addresses");
    }
  }
}

void read_readable(TableReader& table, ForeignWire& wire) {
  ReadableRange range;
  int address = 0;
  table.must("table", range.table, words_for<RegisterTable>());
  table.must_whole("address", address, 0, kAddressMax);
  table.must_whole("count", range.count, 1, kAddressMax + 1 - address);
  range.address = static_cast<std::uint16_t>(address);
  wire.readable.push_back(range);
}

void read_wire(TableReader& table, Board& board) {
  ForeignWire& wire = board.wire;
  table.must("profile", board.profile, words_for<WireProfile>());
  if (board.profile != WireProfile::kOwn) return;
  table.may("diagnostics", wire.diagnostics);
  table.may("identification", wire.identification);
  table.may("product", wire.product);
  table.may("answer_time_max", wire.answer_time_max);
  table.may_whole("registers_max", wire.registers_max, 1, kReadMax);
  table.may_tables("readable", [&](TableReader& range) { read_readable(range, wire); });
  if (!wire.product.empty() && !wire.identification) {
    table.complain("product", "is what the board's identification says, and it has none",
                   "take out one of the two");
  }
  if (wire.product.size() > kProductMax) {
    table.complain("product", "is longer than an identification can be", "245 octets at most");
  }
}

// Where a table's readable addresses are named, its points lie in them.
void check_readable(TableReader& table, const Board& board, const ForeignRegister& one) {
  const auto& readable = board.wire.readable;
  const auto of_table = [&](const ReadableRange& range) { return range.table == one.table; };
  const auto holds = [&](const ReadableRange& range) { return range.holds(one); };
  if (std::none_of(readable.begin(), readable.end(), of_table)) return;
  if (std::any_of(readable.begin(), readable.end(), holds)) return;
  table.complain("address", std::to_string(one.address) + " is in none of the board's readable ranges",
                 "correct one of them in [wire]");
}

}  // namespace

void read_registers(TableReader& table, Board& board) {
  table.may_table("wire", [&](TableReader& wire) { read_wire(wire, board); });
  table.may_tables("register", [&](TableReader& reader) {
    ForeignRegister one;
    read_register(reader, one, board);
    check_readable(reader, board, one);
    board.registers.push_back(one);
  });
  const bool own = board.profile == WireProfile::kOwn;
  if (own && board.registers.empty()) {
    table.complain("wire", "has a profile of its own, and nothing says where its points are",
                   "add [[register]]");
  }
  if (!own && !board.registers.empty()) {
    table.complain("register", "stands in a board that speaks this project's profile",
                   "take it out, or add [wire] profile = \"own\"");
  }
}

}  // namespace host::model
