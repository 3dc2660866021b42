#include "sim/unit/foreign_registers.hpp"

#include <algorithm>

#include "protocol/base/words.hpp"
#include "protocol/pdu/function.hpp"
#include "protocol/session/answer.hpp"
#include "sim/unit/foreign_words.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;
namespace pdu = protocol::pdu;
using model::RegisterTable;
using pdu::ExceptionCode;
using protocol::base::OctetSink;
using protocol::points::Point;

constexpr std::size_t kReadSize = 5;  // function, address, quantity

bool of_bits(RegisterTable table) {
  return table == RegisterTable::kDiscretes || table == RegisterTable::kCoils;
}

// The ranges the file names; of a table without any, where its points are.
std::vector<model::ReadableRange> readable_of(const model::Board& board) {
  std::vector<model::ReadableRange> ranges = board.wire.readable;
  for (const model::ForeignRegister& one : board.registers) {
    const bool named = std::ranges::any_of(
        board.wire.readable, [&](const model::ReadableRange& range) { return range.table == one.table; });
    if (!named) ranges.push_back({one.table, one.address, one.words()});
  }
  return ranges;
}

std::string text_of(const Unit& unit, Point point) {
  const Value value = unit.value(point);
  const auto* text = std::get_if<std::string>(&value);
  return text != nullptr ? *text : std::string{};
}

// The answer to a read, behind its function code: registers as words, bits eight an octet, the first lowest.
std::size_t put(const std::vector<std::uint16_t>& cells, bool bits, OctetSink room) {
  const std::size_t octets = bits ? (cells.size() + 7) / 8 : 2 * cells.size();
  room[1] = static_cast<std::uint8_t>(octets);
  const OctetSink data = room.subspan(2, octets);
  std::ranges::fill(data, std::uint8_t{0});
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (bits) {
      data[i / 8] = static_cast<std::uint8_t>(data[i / 8] | (unsigned{cells[i]} << (i % 8)));
    } else {
      data[2 * i] = static_cast<std::uint8_t>(cells[i] >> 8);
      data[2 * i + 1] = static_cast<std::uint8_t>(cells[i]);
    }
  }
  return 2 + octets;
}

}  // namespace

ForeignRegisters::ForeignRegisters(const Unit& unit)
    : unit_{unit},
      readable_{readable_of(unit.kit().board)},
      nameplate_{
          unit.kit().board.about.title,
          unit.kit().board.wire.product.empty() ? unit.kit().board.about.id : unit.kit().board.wire.product,
          text_of(unit, Point::kIdentityFirmware)} {}

std::size_t ForeignRegisters::answer(OctetSink pdu, std::size_t size) {
  const model::ForeignWire& wire = unit_.kit().board.wire;
  switch (static_cast<pdu::FunctionCode>(pdu[0])) {
    case pdu::FunctionCode::kReadCoils: return read(RegisterTable::kCoils, pdu, size);
    case pdu::FunctionCode::kReadDiscreteInputs: return read(RegisterTable::kDiscretes, pdu, size);
    case pdu::FunctionCode::kReadHoldingRegisters: return read(RegisterTable::kHolding, pdu, size);
    case pdu::FunctionCode::kReadInputRegisters: return read(RegisterTable::kInputs, pdu, size);
    case pdu::FunctionCode::kDiagnostics:
      if (wire.diagnostics) return protocol::session::answer(pdu, size, nameplate_);
      break;
    case pdu::FunctionCode::kEncapsulatedInterface:
      if (wire.identification) return protocol::session::answer(pdu, size, nameplate_);
      break;
    default: break;
  }
  return protocol::session::refuse(pdu, ExceptionCode::kIllegalFunction);
}

std::size_t ForeignRegisters::read(RegisterTable table, OctetSink pdu, std::size_t size) const {
  const bool has_table =
      std::ranges::any_of(readable_, [&](const model::ReadableRange& range) { return range.table == table; });
  if (!has_table) return protocol::session::refuse(pdu, ExceptionCode::kIllegalFunction);
  if (size != kReadSize) return protocol::session::refuse(pdu, ExceptionCode::kIllegalDataValue);
  const protocol::base::Words asked{pdu.data() + 1, 2};
  const std::uint16_t address = asked[0];
  const std::uint16_t count = asked[1];
  const int most = of_bits(table) ? int{pdu::kReadBitsMax} : unit_.kit().board.wire.registers_max;
  if (count < 1 || count > most) return protocol::session::refuse(pdu, ExceptionCode::kIllegalDataValue);
  for (std::uint32_t at = address; at < std::uint32_t{address} + count; ++at) {
    if (!readable(table, at)) return protocol::session::refuse(pdu, ExceptionCode::kIllegalDataAddress);
  }
  return put(cells(table, address, count), of_bits(table), pdu);
}

bool ForeignRegisters::readable(RegisterTable table, std::uint32_t address) const {
  return std::ranges::any_of(readable_, [&](const model::ReadableRange& range) {
    return range.table == table && address >= range.address &&
           address - range.address < static_cast<std::uint32_t>(range.count);
  });
}

std::vector<std::uint16_t> ForeignRegisters::cells(RegisterTable table, std::uint16_t address,
                                                   std::size_t count) const {
  std::vector<std::uint16_t> cells(count, 0);
  const std::size_t end = address + count;
  for (const model::ForeignRegister& one : unit_.kit().board.registers) {
    const auto size = static_cast<std::size_t>(one.words());
    if (one.table != table || one.address >= end || one.address + size <= address) continue;
    const std::vector<std::uint16_t> words = foreign_words(one, unit_.value(one.point));
    for (std::size_t i = 0; i < size; ++i) {
      const std::size_t at = one.address + i;
      if (at >= address && at < end) cells[at - address] = words[i];
    }
  }
  return cells;
}

// It answers 08 and 2B/0E alone.
ExceptionCode ForeignRegisters::Nameplate::read_registers(protocol::session::Table, std::uint16_t,
                                                          protocol::base::WordSink) {
  return ExceptionCode::kIllegalFunction;
}

ExceptionCode ForeignRegisters::Nameplate::write_registers(std::uint16_t, protocol::base::Words) {
  return ExceptionCode::kIllegalFunction;
}

protocol::session::Object ForeignRegisters::Nameplate::identification(std::uint8_t id) {
  return id < objects_.size() ? protocol::session::Object{true, objects_[id]} : protocol::session::Object{};
}

}  // namespace sim::unit
