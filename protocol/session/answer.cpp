#include "protocol/session/answer.hpp"

#include <algorithm>
#include <cassert>
#include <span>

#include "protocol/pdu/identification.hpp"

namespace protocol::session {

namespace {

using pdu::ExceptionCode;
using pdu::FunctionCode;

constexpr std::size_t kWordsSize = 5;       // function and two words
constexpr std::size_t kWriteHead = 6;       // the same and a byte count
constexpr std::uint8_t kConformity = 0x83;  // extended identification, stream and individual access

Answer refuse(std::uint8_t function, ExceptionCode code) {
  Answer answer;
  answer.storage[0] = static_cast<std::uint8_t>(function | pdu::kExceptionFlag);
  answer.storage[1] = static_cast<std::uint8_t>(code);
  answer.size = 2;
  answer.exception = code;
  return answer;
}

// What 05, 06, 08 and 10 answer: the head of the request.
Answer repeat(base::Octets request) {
  Answer answer;
  std::copy_n(request.begin(), kWordsSize, answer.storage.begin());
  answer.size = kWordsSize;
  return answer;
}

Answer finish(base::Octets request, ExceptionCode code) {
  return code == ExceptionCode::kNone ? repeat(request) : refuse(request[0], code);
}

Answer read(base::Octets request, Device& device, Table table) {
  if (request.size() != kWordsSize) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const std::uint16_t count = base::read_be16(request, 3);
  if (count < 1 || count > pdu::kReadRegistersMax) {
    return refuse(request[0], ExceptionCode::kIllegalDataValue);
  }
  std::array<std::uint16_t, pdu::kReadRegistersMax> words{};
  const std::span<std::uint16_t> asked{words.data(), count};
  const ExceptionCode code = device.read_registers(table, base::read_be16(request, 1), asked);
  if (code != ExceptionCode::kNone) return refuse(request[0], code);
  Answer answer;
  answer.storage[0] = request[0];
  answer.storage[1] = static_cast<std::uint8_t>(count * 2);
  answer.size = 2;
  for (const std::uint16_t word : asked) {
    base::write_be16(answer.storage, answer.size, word);
    answer.size = static_cast<std::uint16_t>(answer.size + 2);
  }
  return answer;
}

Answer write_coil(base::Octets request, Device& device) {
  if (request.size() != kWordsSize) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  const std::uint16_t value = base::read_be16(request, 3);
  if (value != 0 && value != pdu::kCoilOn) return refuse(request[0], ExceptionCode::kIllegalDataValue);
  return finish(request, device.write_coil(base::read_be16(request, 1), value != 0));
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
    case FunctionCode::kReadHoldingRegisters: return read(request, device, Table::kHolding);
    case FunctionCode::kReadInputRegisters: return read(request, device, Table::kInput);
    case FunctionCode::kWriteSingleCoil: return write_coil(request, device);
    case FunctionCode::kWriteSingleRegister: return write_register(request, device);
    case FunctionCode::kDiagnostics: return diagnostics(request);
    case FunctionCode::kWriteMultipleRegisters: return write_registers(request, device);
    case FunctionCode::kEncapsulatedInterface: return identify(request, device);
  }
  return refuse(request[0], ExceptionCode::kIllegalFunction);
}

bool may_be_broadcast(base::Octets request) {
  switch (static_cast<FunctionCode>(request[0])) {
    case FunctionCode::kWriteSingleCoil:
    case FunctionCode::kWriteSingleRegister:
    case FunctionCode::kWriteMultipleRegisters: return true;
    case FunctionCode::kReadHoldingRegisters:
    case FunctionCode::kReadInputRegisters:
    case FunctionCode::kDiagnostics:
    case FunctionCode::kEncapsulatedInterface: break;
  }
  return false;
}

}  // namespace protocol::session
