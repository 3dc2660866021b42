#include <algorithm>
#include <array>
#include <charconv>
#include <optional>

#include "host/model/part_file.hpp"
#include "host/model/words.hpp"
#include "protocol/points/words.hpp"

namespace host::model {
namespace {

constexpr int kAddressMax = 65'535;
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

void check_kind(TableReader& table, const ForeignRegister& one) {
  if (is_bits(one.table) != (one.type == RegisterType::kBit)) {
    table.complain("type",
                   "is " + std::string(word_for(one.type)) + ", which a table of " +
                       std::string(word_for(one.table)) + " doesn't hold",
                   is_bits(one.table) ? "write \"bit\"" : "write u16, s16, u32 or s32");
  }
  if (one.address + one.words() - 1 > kAddressMax) {
    table.complain("address", "leaves no room for the second word", "32 bits take two addresses");
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
  if (one.words() == 2)
    table.must("word_order", one.low_word_first, std::span<const Word<bool>>(kWordOrders));
  read_scale(table, one);
  check_kind(table, one);
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

}  // namespace

void read_registers(TableReader& table, Board& board) {
  table.may_table("wire",
                  [&](TableReader& wire) { wire.must("profile", board.profile, words_for<WireProfile>()); });
  table.may_tables("register", [&](TableReader& reader) {
    ForeignRegister one;
    read_register(reader, one, board);
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
