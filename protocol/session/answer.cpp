#include "protocol/session/answer.hpp"

#include <algorithm>
#include <cassert>
#include <span>

#include "protocol/pdu/identification.hpp"

namespace protocol::session {

namespace {

using pdu::ExceptionCode;
using pdu::FunctionCode;

constexpr std::size_t kWordsSize = 5;  // function and two words
constexpr std::size_t kWriteHead = 6;  // the same and a byte count
constexpr std::uint16_t kWordBits = 16;
constexpr std::uint32_t kBitAddresses = 0x10000;
constexpr std::size_t kBitRegistersMax = pdu::kReadBitsMax / kWordBits + 1;  // when the first one is shared
constexpr std::uint8_t kConformity = 0x83;  // extended identification, stream and individual access

Answer refuse(std::uint8_t function, ExceptionCode code) {
  Answer answer;
  answer.storage[0] = static_cast<std::uint8_t>(function | pdu::kExceptionFlag);
  answer.storage[1] = static_cast<std::uint8_t>(code);
  answer.size = 2;
  answer.exception = code;
  return answer;
}

// What 05, 06, 08, 0F and 10 answer: the head of the request.
Answer repeat(base::Octets request) {
  Answer answer;
  std::copy_n(request.begin(), kWordsSize, answer.storage.begin());
  answer.size = kWordsSize;
  return answer;
}

Answer finish(base::Octets request, ExceptionCode code) {
  return code == ExceptionCode::kNone ? repeat(request) : refuse(request[0], code);
}

void append_words(Answer& answer, std::span<const std::uint16_t> words) {
  for (const std::uint16_t word : words) {
    base::write_be16(answer.storage, answer.size, word);
    answer.size = static_cast<std::uint16_t>(answer.size + 2);
  }
}

Answer read_words(std::uint8_t function, std::uint16_t address, std::uint16_t count, Device& device,
                  Table table) {
  std::array<std::uint16_t, pdu::kReadRegistersMax> words{};
  const std::span<std::uint16_t> asked{words.data(), count};
  const ExceptionCode code = device.read_registers(table, address, asked);
  if (code != ExceptionCode::kNone) return refuse(function, code);
  Answer answer;
  answer.storage[0] = function;
  answer.storage[1] = static_cast<std::uint8_t>(count * 2);
  answer.size = 2;
  append_words(answer, asked);
  return answer;
}

Answer read(base::Octets request, Device& device, Table table) {
  if (request.size() != kWordsSize) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const std::uint16_t count = base::read_be16(request, 3);
  if (count < 1 || count > pdu::kReadRegistersMax) {
    return refuse(request[0], ExceptionCode::kIllegalDataValue);
  }
  return read_words(request[0], base::read_be16(request, 1), count, device, table);
}

// The registers that hold `count` bits from `address` on; `head` of the first one's bits are not among them.
struct BitRange {
  std::uint16_t first = 0;
  std::uint16_t head = 0;
  std::uint16_t registers = 0;
  bool legal = false;
};

BitRange bit_range(std::uint16_t address, std::uint16_t count) {
  const auto head = static_cast<std::uint16_t>(address % kWordBits);
  const auto registers = static_cast<std::uint16_t>((head + count + kWordBits - 1) / kWordBits);
  return {static_cast<std::uint16_t>(address / kWordBits), head, registers,
          std::uint32_t{address} + count <= kBitAddresses};
}

Answer read_bits(base::Octets request, Device& device, Table table) {
  if (request.size() != kWordsSize) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const std::uint16_t count = base::read_be16(request, 3);
  if (count < 1 || count > pdu::kReadBitsMax) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const BitRange range = bit_range(base::read_be16(request, 1), count);
  if (!range.legal) return refuse(request[0], ExceptionCode::kIllegalDataAddress);
  std::array<std::uint16_t, kBitRegistersMax> words{};
  const ExceptionCode code = device.read_registers(table, range.first, {words.data(), range.registers});
  if (code != ExceptionCode::kNone) return refuse(request[0], code);
  Answer answer;
  answer.storage[0] = request[0];
  answer.storage[1] = static_cast<std::uint8_t>((count + 7) / 8);
  answer.size = static_cast<std::uint16_t>(2 + answer.storage[1]);
  for (std::uint16_t i = 0; i < count; ++i) {
    const unsigned at = range.head + i;
    const unsigned bit = (unsigned{words[at / kWordBits]} >> (at % kWordBits)) & 1U;
    answer.storage[2 + i / 8U] = static_cast<std::uint8_t>(answer.storage[2 + i / 8U] | (bit << (i % 8U)));
  }
  return answer;
}

// `packed` holds one bit a coil, the first in the lowest.
ExceptionCode change_bits(std::uint16_t address, std::uint16_t count, base::Octets packed, Device& device) {
  const BitRange range = bit_range(address, count);
  if (!range.legal) return ExceptionCode::kIllegalDataAddress;
  std::array<std::uint16_t, kBitRegistersMax> storage{};
  const std::span<std::uint16_t> words{storage.data(), range.registers};
  const ExceptionCode code = device.read_registers(Table::kHolding, range.first, words);
  if (code != ExceptionCode::kNone) return code;
  for (std::uint16_t i = 0; i < count; ++i) {
    const unsigned at = range.head + i;
    const auto bit = static_cast<std::uint16_t>(1U << (at % kWordBits));
    const bool on = ((packed[i / 8U] >> (i % 8U)) & 1U) != 0;
    std::uint16_t& word = words[at / kWordBits];
    word = static_cast<std::uint16_t>(on ? word | bit : word & ~bit);
  }
  return device.write_registers(range.first, words);
}

Answer write_coil(base::Octets request, Device& device) {
  if (request.size() != kWordsSize) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const std::uint16_t value = base::read_be16(request, 3);
  if (value != 0 && value != pdu::kCoilOn) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const std::uint8_t packed = value != 0 ? 1 : 0;
  return finish(request, change_bits(base::read_be16(request, 1), 1, {&packed, 1}, device));
}

Answer write_coils(base::Octets request, Device& device) {
  if (request.size() < kWriteHead) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const std::uint16_t count = base::read_be16(request, 3);
  const std::size_t octets = (std::size_t{count} + 7) / 8;
  if (count < 1 || count > pdu::kWriteBitsMax || request[5] != octets ||
      request.size() != kWriteHead + octets) {
    return refuse(request[0], ExceptionCode::kIllegalDataValue);
  }
  const base::Octets packed = request.subspan(kWriteHead);
  return finish(request, change_bits(base::read_be16(request, 1), count, packed, device));
}

Answer write_register(base::Octets request, Device& device) {
  if (request.size() != kWordsSize) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const std::uint16_t word = base::read_be16(request, 3);
  return finish(request, device.write_registers(base::read_be16(request, 1), {&word, 1}));
}

Answer write_registers(base::Octets request, Device& device) {
  if (request.size() < kWriteHead) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const std::uint16_t count = base::read_be16(request, 3);
  const std::size_t octets = std::size_t{count} * 2;
  if (count < 1 || count > pdu::kWriteRegistersMax || request[5] != octets ||
      request.size() != kWriteHead + octets) {
    return refuse(request[0], ExceptionCode::kIllegalDataValue);
  }
  std::array<std::uint16_t, pdu::kWriteRegistersMax> words{};
  for (std::uint16_t i = 0; i < count; ++i) {
    words[i] = base::read_be16(request, kWriteHead + std::size_t{i} * 2);
  }
  return finish(request, device.write_registers(base::read_be16(request, 1), {words.data(), count}));
}

Answer report_server_id(base::Octets request, Device& device) {
  if (request.size() != 1) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  base::Octets id = device.server_id();
  if (id.empty()) return refuse(request[0], ExceptionCode::kIllegalFunction);
  id = id.first(std::min(id.size(), pdu::kPduSizeMax - 2));
  Answer answer;
  answer.storage[0] = request[0];
  answer.storage[1] = static_cast<std::uint8_t>(id.size());
  std::copy(id.begin(), id.end(), answer.storage.begin() + 2);
  answer.size = static_cast<std::uint16_t>(id.size() + 2);
  return answer;
}

// The length of all groups is checked before the first one is read, and every file and record too.
ExceptionCode check_files(base::Octets request) {
  const std::size_t octets = request.size() - 2;
  if (request[1] != octets || octets < pdu::kFileGroupSize || octets > pdu::kFileDataMax ||
      octets % pdu::kFileGroupSize != 0) {
    return ExceptionCode::kIllegalDataValue;
  }
  std::size_t data = 0;
  bool legal = true;
  for (std::size_t at = 2; at < request.size(); at += pdu::kFileGroupSize) {
    const std::uint32_t record = base::read_be16(request, at + 3);
    const std::uint32_t count = base::read_be16(request, at + 5);
    if (count == 0) return ExceptionCode::kIllegalDataValue;
    data += 2 + std::size_t{count} * 2;
    if (data > pdu::kFileDataMax) return ExceptionCode::kIllegalDataValue;
    legal = legal && request[at] == pdu::kFileReferenceType && base::read_be16(request, at + 1) != 0 &&
            record + count - 1 <= pdu::kFileRecordMax;
  }
  return legal ? ExceptionCode::kNone : ExceptionCode::kIllegalDataAddress;
}

Answer read_files(base::Octets request, Device& device) {
  if (request.size() < 2) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const ExceptionCode checked = check_files(request);
  if (checked != ExceptionCode::kNone) return refuse(request[0], checked);
  std::array<std::uint16_t, pdu::kFileDataMax / 2> words{};
  Answer answer;
  answer.storage[0] = request[0];
  answer.size = 2;
  for (std::size_t at = 2; at < request.size(); at += pdu::kFileGroupSize) {
    const std::span<std::uint16_t> asked{words.data(), base::read_be16(request, at + 5)};
    const ExceptionCode code =
        device.read_file(base::read_be16(request, at + 1), base::read_be16(request, at + 3), asked);
    if (code != ExceptionCode::kNone) return refuse(request[0], code);
    answer.storage[answer.size] = static_cast<std::uint8_t>(asked.size() * 2 + 1);
    answer.storage[answer.size + std::size_t{1}] = pdu::kFileReferenceType;
    answer.size = static_cast<std::uint16_t>(answer.size + 2);
    append_words(answer, asked);
  }
  answer.storage[1] = static_cast<std::uint8_t>(answer.size - 2);
  return answer;
}

Answer mask_write(base::Octets request, Device& device) {
  constexpr std::size_t kMaskSize = 7;
  if (request.size() != kMaskSize) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const std::uint16_t address = base::read_be16(request, 1);
  const std::uint16_t keep = base::read_be16(request, 3);
  std::uint16_t word = 0;
  ExceptionCode code = device.read_registers(Table::kHolding, address, {&word, 1});
  if (code != ExceptionCode::kNone) return refuse(request[0], code);
  word = static_cast<std::uint16_t>((word & keep) | (base::read_be16(request, 5) & ~keep));
  code = device.write_registers(address, {&word, 1});
  if (code != ExceptionCode::kNone) return refuse(request[0], code);
  Answer answer;
  std::copy(request.begin(), request.end(), answer.storage.begin());
  answer.size = kMaskSize;
  return answer;
}

// The write comes before the read, as the standard wants; but nothing is written when the read can't be had.
Answer read_write(base::Octets request, Device& device) {
  constexpr std::size_t kHead = 10;
  if (request.size() < kHead) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const std::uint16_t address = base::read_be16(request, 1);
  const std::uint16_t count = base::read_be16(request, 3);
  const std::uint16_t written = base::read_be16(request, 7);
  const std::size_t octets = std::size_t{written} * 2;
  if (count < 1 || count > pdu::kReadRegistersMax || written < 1 || written > pdu::kReadWriteRegistersMax ||
      request[9] != octets || request.size() != kHead + octets) {
    return refuse(request[0], ExceptionCode::kIllegalDataValue);
  }
  std::array<std::uint16_t, pdu::kReadRegistersMax> words{};
  ExceptionCode code = device.read_registers(Table::kHolding, address, {words.data(), count});
  if (code != ExceptionCode::kNone) return refuse(request[0], code);
  for (std::uint16_t i = 0; i < written; ++i) words[i] = base::read_be16(request, kHead + std::size_t{i} * 2);
  code = device.write_registers(base::read_be16(request, 5), {words.data(), written});
  if (code != ExceptionCode::kNone) return refuse(request[0], code);
  return read_words(request[0], address, count, device, Table::kHolding);
}

Answer read_fifo(base::Octets request, Device& device) {
  if (request.size() != 3) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  std::array<std::uint16_t, pdu::kFifoWordsMax> words{};
  const Queued queued = device.read_fifo(base::read_be16(request, 1), words);
  if (queued.exception != ExceptionCode::kNone) return refuse(request[0], queued.exception);
  if (queued.count > words.size()) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  Answer answer;
  answer.storage[0] = request[0];
  base::write_be16(answer.storage, 1, static_cast<std::uint16_t>(2 + queued.count * 2));
  base::write_be16(answer.storage, 3, queued.count);
  answer.size = 5;
  append_words(answer, {words.data(), queued.count});
  return answer;
}

Answer diagnostics(base::Octets request) {
  if (request.size() != kWordsSize) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  if (base::read_be16(request, 1) != 0) return refuse(request[0], ExceptionCode::kIllegalFunction);
  return repeat(request);
}

// The last object of a category; each holds those below it.
int last_object(pdu::ReadDeviceId code) {
  switch (code) {
    case pdu::ReadDeviceId::kBasic: return 0x02;
    case pdu::ReadDeviceId::kRegular: return 0x7F;
    case pdu::ReadDeviceId::kExtended:
    case pdu::ReadDeviceId::kIndividual: break;
  }
  return 0xFF;
}

// Appends one object whole, or says that it does not fit.
bool append(Answer& answer, int id, std::string_view text) {
  text = text.substr(0, std::min(text.size(), pdu::kObjectSizeMax));
  if (answer.size + 2 + text.size() > pdu::kPduSizeMax) return false;
  answer.storage[answer.size] = static_cast<std::uint8_t>(id);
  answer.storage[answer.size + std::size_t{1}] = static_cast<std::uint8_t>(text.size());
  std::copy(text.begin(), text.end(), answer.storage.begin() + answer.size + 2);
  answer.size = static_cast<std::uint16_t>(answer.size + 2 + text.size());
  ++answer.storage[6];
  return true;
}

void append_stream(Answer& answer, int first, int last, Device& device) {
  for (int id = first; id <= last; ++id) {
    const auto object = device.identification(static_cast<std::uint8_t>(id));
    if (!object || append(answer, id, *object)) continue;
    answer.storage[4] = 0xFF;
    answer.storage[5] = static_cast<std::uint8_t>(id);
    return;
  }
}

Answer identify(base::Octets request, Device& device) {
  if (request.size() < 2 || request[1] != pdu::kMeiDeviceIdentification) {
    return refuse(request[0], ExceptionCode::kIllegalFunction);
  }
  if (request.size() != 4 || request[2] < 1 || request[2] > 4) {
    return refuse(request[0], ExceptionCode::kIllegalDataValue);
  }
  const auto code = static_cast<pdu::ReadDeviceId>(request[2]);
  Answer answer;
  answer.storage[0] = request[0];
  answer.storage[1] = request[1];
  answer.storage[2] = request[2];
  answer.storage[3] = kConformity;
  answer.size = 7;
  const int asked = request[3];
  const auto object = device.identification(request[3]);
  if (code == pdu::ReadDeviceId::kIndividual) {
    if (!object) return refuse(request[0], ExceptionCode::kIllegalDataAddress);
    (void)append(answer, asked, *object);
    return answer;
  }
  const int last = last_object(code);
  append_stream(answer, object && asked <= last ? asked : 0, last, device);
  return answer;
}

}  // namespace

Answer answer(base::Octets request, Device& device) {
  assert(!request.empty() && request.size() <= pdu::kPduSizeMax);
  switch (static_cast<FunctionCode>(request[0])) {
    case FunctionCode::kReadCoils: return read_bits(request, device, Table::kHolding);
    case FunctionCode::kReadDiscreteInputs: return read_bits(request, device, Table::kInput);
    case FunctionCode::kReadHoldingRegisters: return read(request, device, Table::kHolding);
    case FunctionCode::kReadInputRegisters: return read(request, device, Table::kInput);
    case FunctionCode::kWriteSingleCoil: return write_coil(request, device);
    case FunctionCode::kWriteSingleRegister: return write_register(request, device);
    case FunctionCode::kDiagnostics: return diagnostics(request);
    case FunctionCode::kWriteMultipleCoils: return write_coils(request, device);
    case FunctionCode::kWriteMultipleRegisters: return write_registers(request, device);
    case FunctionCode::kReportServerId: return report_server_id(request, device);
    case FunctionCode::kReadFileRecord: return read_files(request, device);
    case FunctionCode::kMaskWriteRegister: return mask_write(request, device);
    case FunctionCode::kReadWriteRegisters: return read_write(request, device);
    case FunctionCode::kReadFifoQueue: return read_fifo(request, device);
    case FunctionCode::kEncapsulatedInterface: return identify(request, device);
  }
  return refuse(request[0], ExceptionCode::kIllegalFunction);
}

bool may_be_broadcast(base::Octets request) {
  switch (static_cast<FunctionCode>(request[0])) {
    case FunctionCode::kWriteSingleCoil:
    case FunctionCode::kWriteSingleRegister:
    case FunctionCode::kWriteMultipleCoils:
    case FunctionCode::kWriteMultipleRegisters:
    case FunctionCode::kMaskWriteRegister: return true;
    case FunctionCode::kReadCoils:
    case FunctionCode::kReadDiscreteInputs:
    case FunctionCode::kReportServerId:
    case FunctionCode::kReadFileRecord:
    case FunctionCode::kReadWriteRegisters:
    case FunctionCode::kReadFifoQueue:
    case FunctionCode::kReadHoldingRegisters:
    case FunctionCode::kReadInputRegisters:
    case FunctionCode::kDiagnostics:
    case FunctionCode::kEncapsulatedInterface: break;
  }
  return false;
}

}  // namespace protocol::session
