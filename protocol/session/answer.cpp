#include "protocol/session/answer.hpp"

#include <algorithm>
#include <cassert>
#include <cstring>

#include "protocol/base/words.hpp"
#include "protocol/pdu/length.hpp"

// The answer is written where the request stands, so each function reads what it needs of the request before
// the first octet that its answer takes: a read overwrites its own address and count, a write leaves its head
// standing, which is the answer. Where that alone doesn't do (14, 17), a comment says how it is done.
//
// One file, so that a small target's compiler sees it whole: on a Cortex-M0+ it took 174 octets of text more
// split by registers, bits, files and identity, and 72, with 16 of stack, with the last two set apart.

namespace protocol::session {

namespace {

using pdu::ExceptionCode;
using pdu::FunctionCode;

constexpr std::size_t kHeadSize = 5;   // function and two words: what a write answers
constexpr std::size_t kCountSize = 6;  // the same and a byte count
constexpr std::uint16_t kWordBits = 16;
constexpr std::uint32_t kAddresses = 0x10000;
constexpr std::uint8_t kConformity = 0x83;  // extended identification, stream and individual access

// One request, being turned into its answer. Each function returns the exception, or none with size_ set; the
// length of the request, its byte count included, was checked before.
class Answering {
 public:
  Answering(std::uint8_t* pdu, std::size_t size, Device& device) : pdu_{pdu}, size_{size}, device_{device} {}

  ExceptionCode run();
  [[nodiscard]] std::size_t size() const { return size_; }

 private:
  [[nodiscard]] std::uint16_t word(std::size_t at) const { return base::Words{pdu_ + at, 1}[0]; }
  void put(std::size_t at, std::size_t word) {
    base::WordSink{pdu_ + at, 1}.set(0, static_cast<std::uint16_t>(word));
  }
  ExceptionCode counted(std::size_t octets) {
    pdu_[1] = static_cast<std::uint8_t>(octets);
    size_ = 2 + octets;
    return ExceptionCode::kNone;
  }

  ExceptionCode read_one(Table table, std::size_t address, std::uint16_t& word);
  ExceptionCode read_words(Table table, std::uint16_t address, std::size_t count);
  ExceptionCode read_bits(Table table, std::uint32_t address, std::uint32_t count);
  ExceptionCode write_words(std::uint16_t address, std::size_t at, std::size_t count);
  ExceptionCode change(std::uint16_t address, std::uint16_t keep, std::uint16_t set);
  ExceptionCode write_coil(std::uint16_t address, std::uint16_t value);
  ExceptionCode write_coils(std::uint32_t address, std::uint32_t count);
  ExceptionCode report_server_id();
  ExceptionCode read_files();
  ExceptionCode read_groups(std::size_t words_max);
  ExceptionCode read_write(std::uint16_t address, std::size_t count);
  ExceptionCode read_fifo(std::uint16_t address);
  ExceptionCode identify();

  std::uint8_t* pdu_;
  std::size_t size_;
  Device& device_;
};

// Whether a quantity is in 1..most.
constexpr bool within(std::size_t count, std::size_t most) {
  return count - 1U < most;
}

ExceptionCode Answering::read_one(Table table, std::size_t address, std::uint16_t& word) {
  std::uint8_t octets[2];
  const ExceptionCode code = device_.read_registers(table, static_cast<std::uint16_t>(address), {octets, 1});
  word = base::Words{octets, 1}[0];
  return code;
}

ExceptionCode Answering::read_words(Table table, std::uint16_t address, std::size_t count) {
  if (!within(count, pdu::kReadRegistersMax)) return ExceptionCode::kIllegalDataValue;
  const ExceptionCode code = device_.read_registers(table, address, {pdu_ + 2, count});
  return code == ExceptionCode::kNone ? counted(count * 2) : code;
}

ExceptionCode Answering::read_bits(Table table, std::uint32_t address, std::uint32_t count) {
  if (!within(count, pdu::kReadBitsMax)) return ExceptionCode::kIllegalDataValue;
  if (address + count > kAddresses) return ExceptionCode::kIllegalDataAddress;
  std::uint16_t word = 0;
  for (std::uint32_t i = 0; i < count; ++i, ++address) {
    if (i == 0 || address % kWordBits == 0) {
      const ExceptionCode code = read_one(table, address / kWordBits, word);
      if (code != ExceptionCode::kNone) return code;
    }
    std::uint8_t& octet = pdu_[2 + i / 8];
    if (i % 8 == 0) octet = 0;
    octet = static_cast<std::uint8_t>(octet | (((unsigned{word} >> (address % kWordBits)) & 1U) << (i % 8)));
  }
  return counted((count + 7) / 8);
}

ExceptionCode Answering::write_words(std::uint16_t address, std::size_t at, std::size_t count) {
  return device_.write_registers(address, {pdu_ + at, count});
}

ExceptionCode Answering::change(std::uint16_t address, std::uint16_t keep, std::uint16_t set) {
  std::uint16_t now = 0;
  const ExceptionCode code = read_one(Table::kHolding, address, now);
  if (code != ExceptionCode::kNone) return code;
  put(size_, (now & keep) | (set & ~keep));
  return write_words(address, size_, 1);
}

ExceptionCode Answering::write_coil(std::uint16_t address, std::uint16_t value) {
  if (value != 0 && value != pdu::kCoilOn) return ExceptionCode::kIllegalDataValue;
  const auto keep = static_cast<std::uint16_t>(~(1U << (address % kWordBits)));
  return change(address / kWordBits, keep, value != 0 ? 0xFFFF : 0);
}

// The registers are made where the bits stand, from the last one on: each is at or behind the bits it is made
// of. Each is read first, so that bits beside those written stay and nothing is written unless all are there.
ExceptionCode Answering::write_coils(std::uint32_t address, std::uint32_t count) {
  if (!within(count, pdu::kWriteBitsMax) || pdu_[kHeadSize] != (count + 7) / 8) {
    return ExceptionCode::kIllegalDataValue;
  }
  if (address + count > kAddresses) return ExceptionCode::kIllegalDataAddress;
  const std::uint32_t head = address % kWordBits;
  const std::uint32_t registers = (head + count + kWordBits - 1) / kWordBits;
  address /= kWordBits;
  for (std::uint32_t i = registers; i-- > 0;) {
    std::uint16_t word = 0;
    const ExceptionCode code = read_one(Table::kHolding, address + i, word);
    if (code != ExceptionCode::kNone) return code;
    std::uint32_t bit = i * kWordBits - head;  // of the run; beyond every count where the run hasn't begun
    for (std::uint32_t mask = 1; mask < kAddresses; mask <<= 1U, ++bit) {
      if (bit >= count) continue;
      const bool on = ((unsigned{pdu_[kCountSize + bit / 8]} >> (bit % 8)) & 1U) != 0;
      word = static_cast<std::uint16_t>(on ? word | mask : word & ~mask);
    }
    put(kCountSize + std::size_t{i} * 2, word);
  }
  return write_words(static_cast<std::uint16_t>(address), kCountSize, registers);
}

ExceptionCode Answering::report_server_id() {
  const base::Octets id = device_.server_id();
  if (id.empty()) return ExceptionCode::kIllegalFunction;
  const std::size_t size = std::min(id.size(), pdu::kPduSizeMax - 2);
  std::memcpy(pdu_ + 2, id.data(), size);
  return counted(size);
}

// The length of all groups is checked before the first one is read, and every file and record too.
//
// A group of seven octets becomes an answer of four or more, and what stands behind it moves by the
// difference. Taken from the front alone, the answers might push the groups not yet read out of the buffer.
// So the groups whose answer is no longer than they are come first; from then on all only grows, up to the
// size of the whole answer.
ExceptionCode Answering::read_files() {
  constexpr std::size_t kShortWordsMax = 2;
  auto code = ExceptionCode::kNone;
  std::size_t data = 0;
  std::size_t at = 2;
  for (; at < size_; at += pdu::kFileGroupSize) {
    const std::size_t count = word(at + 5);
    data += 2 + count * 2;
    if (count == 0 || data > pdu::kFileDataMax) return ExceptionCode::kIllegalDataValue;
    if (pdu_[at] != pdu::kFileReferenceType || word(at + 1) == 0 ||
        word(at + 3) + count - 1 > pdu::kFileRecordMax) {
      code = ExceptionCode::kIllegalDataAddress;
    }
  }
  if (at != size_ || data == 0) return ExceptionCode::kIllegalDataValue;
  if (code == ExceptionCode::kNone) code = read_groups(kShortWordsMax);
  if (code == ExceptionCode::kNone) code = read_groups(pdu::kFileDataMax);
  return code == ExceptionCode::kNone ? counted(data) : code;
}

// Answers the groups of at most `words_max` words where they stand. An answer can't be taken for a group: a
// group begins with 6, an answer with an odd length.
ExceptionCode Answering::read_groups(std::size_t words_max) {
  for (std::size_t at = 2; at < size_;) {
    const bool answered = pdu_[at] != pdu::kFileReferenceType;
    const std::size_t count = word(at + 5);
    std::size_t size = answered ? std::size_t{1} + pdu_[at] : pdu::kFileGroupSize;
    if (!answered && count <= words_max) {
      const std::uint16_t file = word(at + 1);
      const std::uint16_t record = word(at + 3);
      const std::size_t behind = at + pdu::kFileGroupSize;
      size = 2 + count * 2;
      std::memmove(pdu_ + at + size, pdu_ + behind, size_ - behind);
      size_ = size_ + size - pdu::kFileGroupSize;
      put(at, ((size - 1) << 8) | pdu::kFileReferenceType);
      const ExceptionCode code = device_.read_file(file, record, {pdu_ + at + 2, count});
      if (code != ExceptionCode::kNone) return code;
    }
    at += size;
  }
  return ExceptionCode::kNone;
}

// The write comes before the read, as the standard wants; but nothing is written when the read can't be had.
// What is read would cover what is to be written, so whether it can be had is asked register by register.
ExceptionCode Answering::read_write(std::uint16_t address, std::size_t count) {
  constexpr std::size_t kDataAt = 10;
  const std::size_t written = word(7);
  if (!within(count, pdu::kReadRegistersMax) || !within(written, pdu::kReadWriteRegistersMax) ||
      pdu_[kDataAt - 1] != written * 2) {
    return ExceptionCode::kIllegalDataValue;
  }
  if (address + count > kAddresses) return ExceptionCode::kIllegalDataAddress;
  auto code = ExceptionCode::kNone;
  std::uint16_t unused = 0;
  for (std::size_t i = 0; i < count && code == ExceptionCode::kNone; ++i) {
    code = read_one(Table::kHolding, address + i, unused);
  }
  if (code == ExceptionCode::kNone) code = write_words(word(5), kDataAt, written);
  return code == ExceptionCode::kNone ? read_words(Table::kHolding, address, count) : code;
}

ExceptionCode Answering::read_fifo(std::uint16_t address) {
  const Queued queued = device_.read_fifo(address, {pdu_ + kHeadSize, pdu::kFifoWordsMax});
  if (queued.exception != ExceptionCode::kNone) return queued.exception;
  if (queued.count > pdu::kFifoWordsMax) return ExceptionCode::kIllegalDataValue;
  size_ = kHeadSize + queued.count * std::size_t{2};
  put(1, size_ - 3);
  put(3, queued.count);
  return ExceptionCode::kNone;
}

// Objects that do not fit whole are left for the next answer; the first one always fits.
ExceptionCode Answering::identify() {
  const auto code = static_cast<pdu::ReadDeviceId>(pdu_[2]);
  std::size_t id = pdu_[3];
  std::size_t last = 0xFF;  // of a category; each holds those below it
  if (code == pdu::ReadDeviceId::kBasic) last = 0x02;
  if (code == pdu::ReadDeviceId::kRegular) last = 0x7F;
  if (code == pdu::ReadDeviceId::kIndividual) last = id;
  if (!within(pdu_[2], 4)) return ExceptionCode::kIllegalDataValue;
  pdu_[3] = kConformity;
  put(4, 0);
  pdu_[6] = 0;
  size_ = 7;
  if (!device_.identification(static_cast<std::uint8_t>(id)).present || id > last) {
    if (code == pdu::ReadDeviceId::kIndividual) return ExceptionCode::kIllegalDataAddress;
    id = 0;
  }
  for (; id <= last; ++id) {
    const Object object = device_.identification(static_cast<std::uint8_t>(id));
    if (!object.present) continue;
    const std::size_t length = std::min(object.text.size(), pdu::kObjectSizeMax);
    const std::size_t end = size_ + 2 + length;
    if (end > pdu::kPduSizeMax) {
      put(4, 0xFF00U | id);
      break;
    }
    put(size_, (id << 8) | length);
    // An empty text may be nowhere.
    if (length > 0) std::memcpy(pdu_ + size_ + 2, object.text.data(), length);
    size_ = end;
    ++pdu_[6];
  }
  return ExceptionCode::kNone;
}

ExceptionCode Answering::run() {
  const auto function = static_cast<FunctionCode>(pdu_[0]);
  if (!pdu::is_spoken(pdu_[0]) || (function == FunctionCode::kEncapsulatedInterface &&
                                   (size_ < 2 || pdu_[1] != pdu::kMeiDeviceIdentification))) {
    return ExceptionCode::kIllegalFunction;
  }
  if (pdu::request_size({pdu_, size_}) != static_cast<int>(size_)) return ExceptionCode::kIllegalDataValue;
  const std::uint16_t first = word(1);  // where there is none, what stands there is not looked at
  const std::uint16_t second = word(3);
  const Table table = (pdu_[0] & 1U) != 0 ? Table::kHolding : Table::kInput;  // of 01 to 04
  // Apart from the others, for a table of jumps would have to reach it.
  if (function == FunctionCode::kEncapsulatedInterface) return identify();
  switch (function) {
    case FunctionCode::kReadCoils:
    case FunctionCode::kReadDiscreteInputs: return read_bits(table, first, second);
    case FunctionCode::kReadHoldingRegisters:
    case FunctionCode::kReadInputRegisters: return read_words(table, first, second);
    case FunctionCode::kWriteSingleCoil: return write_coil(first, second);
    case FunctionCode::kWriteSingleRegister: return write_words(first, 3, 1);
    case FunctionCode::kDiagnostics:
      return first == 0 ? ExceptionCode::kNone : ExceptionCode::kIllegalFunction;
    case FunctionCode::kWriteMultipleCoils: size_ = kHeadSize; return write_coils(first, second);
    case FunctionCode::kWriteMultipleRegisters:
      size_ = kHeadSize;
      if (!within(second, pdu::kWriteRegistersMax) || pdu_[kHeadSize] != second * 2) {
        return ExceptionCode::kIllegalDataValue;
      }
      return write_words(first, kCountSize, second);
    case FunctionCode::kReportServerId: return report_server_id();
    case FunctionCode::kReadFileRecord: return read_files();
    case FunctionCode::kMaskWriteRegister: return change(first, second, word(5));
    case FunctionCode::kReadWriteRegisters: return read_write(first, second);
    case FunctionCode::kReadFifoQueue: return read_fifo(first);
    case FunctionCode::kEncapsulatedInterface: break;
  }
  return ExceptionCode::kIllegalFunction;
}

}  // namespace

std::size_t refuse(std::uint8_t* pdu, ExceptionCode code) {
  pdu[0] = static_cast<std::uint8_t>(pdu[0] | pdu::kExceptionFlag);
  pdu[1] = static_cast<std::uint8_t>(code);
  return 2;
}

std::size_t answer(base::OctetSink pdu, std::size_t size, Device& device) {
  assert(size >= 1 && size <= pdu::kPduSizeMax && pdu.size() >= kAnswerRoom);
  Answering answering{pdu.data(), size, device};
  const ExceptionCode code = answering.run();
  return code == ExceptionCode::kNone ? answering.size() : refuse(pdu.data(), code);
}

bool may_be_broadcast(std::uint8_t function) {
  constexpr std::uint32_t kWrites = 1U << 0x05 | 1U << 0x06 | 1U << 0x0F | 1U << 0x10 | 1U << 0x16;
  return function < 0x20 && (kWrites >> function & 1U) != 0;
}

}  // namespace protocol::session
