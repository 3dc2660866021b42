#include "protocol/pdu/request.hpp"

#include <algorithm>
#include <cassert>

namespace protocol::pdu {

Request make_words(FunctionCode function, std::uint16_t first, std::uint16_t second) {
  Request request;
  request.octets_[0] = static_cast<std::uint8_t>(function);
  base::write_be16(request.octets_, 1, first);
  base::write_be16(request.octets_, 3, second);
  request.size_ = 5;
  return request;
}

std::uint16_t Request::address() const {
  switch (function()) {
    case FunctionCode::kEncapsulatedInterface: return octets_[3];
    case FunctionCode::kReportServerId: return 0;
    case FunctionCode::kReadFileRecord: return base::read_be16(octets_, 3);
    default: return base::read_be16(octets_, 1);
  }
}

std::uint16_t Request::count() const {
  switch (function()) {
    case FunctionCode::kEncapsulatedInterface: return octets_[2];
    case FunctionCode::kReportServerId:
    case FunctionCode::kReadFifoQueue: return 0;
    case FunctionCode::kReadFileRecord: return base::read_be16(octets_, 5);
    default: return base::read_be16(octets_, 3);
  }
}

bool Request::is_read() const {
  switch (function()) {
    case FunctionCode::kReadCoils:
    case FunctionCode::kReadDiscreteInputs:
    case FunctionCode::kReadHoldingRegisters:
    case FunctionCode::kReadInputRegisters:
    case FunctionCode::kReportServerId:
    case FunctionCode::kReadFileRecord:
    case FunctionCode::kReadWriteRegisters:
    case FunctionCode::kReadFifoQueue:
    case FunctionCode::kEncapsulatedInterface: return true;
    case FunctionCode::kWriteSingleCoil:
    case FunctionCode::kWriteSingleRegister:
    case FunctionCode::kDiagnostics:
    case FunctionCode::kWriteMultipleCoils:
    case FunctionCode::kWriteMultipleRegisters:
    case FunctionCode::kMaskWriteRegister: break;
  }
  return false;
}

std::size_t Request::answer_size_max() const {
  switch (function()) {
    case FunctionCode::kReadCoils:
    case FunctionCode::kReadDiscreteInputs: return std::size_t{2} + (std::size_t{count()} + 7) / 8;
    case FunctionCode::kReadHoldingRegisters:
    case FunctionCode::kReadInputRegisters:
    case FunctionCode::kReadWriteRegisters: return 2 + std::size_t{count()} * 2;
    case FunctionCode::kReadFileRecord: {
      std::size_t size = 2;
      for (std::size_t at = 2; at < size_; at += kFileGroupSize) {
        size += 2 + std::size_t{base::read_be16(octets_, at + 5)} * 2;
      }
      return size;
    }
    case FunctionCode::kReadFifoQueue: return 5 + std::size_t{kFifoWordsMax} * 2;
    case FunctionCode::kReportServerId:
    case FunctionCode::kEncapsulatedInterface: return kPduSizeMax;
    case FunctionCode::kMaskWriteRegister: return 7;
    case FunctionCode::kWriteSingleCoil:
    case FunctionCode::kWriteSingleRegister:
    case FunctionCode::kDiagnostics:
    case FunctionCode::kWriteMultipleCoils:
    case FunctionCode::kWriteMultipleRegisters: break;
  }
  return 5;
}

Request read_coils(std::uint16_t address, std::uint16_t count) {
  assert(count >= 1 && count <= kReadBitsMax);
  return make_words(FunctionCode::kReadCoils, address, count);
}

Request read_discrete_inputs(std::uint16_t address, std::uint16_t count) {
  assert(count >= 1 && count <= kReadBitsMax);
  return make_words(FunctionCode::kReadDiscreteInputs, address, count);
}

Request read_holding_registers(std::uint16_t address, std::uint16_t count) {
  assert(count >= 1 && count <= kReadRegistersMax);
  return make_words(FunctionCode::kReadHoldingRegisters, address, count);
}

Request read_input_registers(std::uint16_t address, std::uint16_t count) {
  assert(count >= 1 && count <= kReadRegistersMax);
  return make_words(FunctionCode::kReadInputRegisters, address, count);
}

Request write_single_coil(std::uint16_t address, bool on) {
  return make_words(FunctionCode::kWriteSingleCoil, address, on ? kCoilOn : std::uint16_t{0});
}

Request write_single_register(std::uint16_t address, std::uint16_t word) {
  return make_words(FunctionCode::kWriteSingleRegister, address, word);
}

Request diagnose(std::uint16_t sub_function, std::uint16_t data) {
  assert(sub_function != 0x04);
  return make_words(FunctionCode::kDiagnostics, sub_function, data);
}

Request return_query_data(std::uint16_t word) {
  return make_words(FunctionCode::kDiagnostics, 0, word);
}

Request write_multiple_registers(std::uint16_t address, std::span<const std::uint16_t> words) {
  assert(!words.empty() && words.size() <= kWriteRegistersMax);
  Request request =
      make_words(FunctionCode::kWriteMultipleRegisters, address, static_cast<std::uint16_t>(words.size()));
  request.octets_[5] = static_cast<std::uint8_t>(words.size() * 2);
  std::size_t at = 6;
  for (const std::uint16_t word : words) {
    base::write_be16(request.octets_, at, word);
    at += 2;
  }
  request.size_ = static_cast<std::uint16_t>(at);
  return request;
}

Request write_multiple_coils(std::uint16_t address, std::uint16_t count, base::Octets packed) {
  assert(count >= 1 && count <= kWriteBitsMax && packed.size() == (std::size_t{count} + 7) / 8);
  Request request = make_words(FunctionCode::kWriteMultipleCoils, address, count);
  request.octets_[5] = static_cast<std::uint8_t>(packed.size());
  std::copy(packed.begin(), packed.end(), request.octets_.begin() + 6);
  request.size_ = static_cast<std::uint16_t>(6 + packed.size());
  return request;
}

Request report_server_id() {
  Request request;
  request.octets_[0] = static_cast<std::uint8_t>(FunctionCode::kReportServerId);
  request.size_ = 1;
  return request;
}

Request read_file_records(std::span<const FileRecord> groups) {
  assert(!groups.empty() && groups.size() <= kFileDataMax / kFileGroupSize);
  Request request;
  request.octets_[0] = static_cast<std::uint8_t>(FunctionCode::kReadFileRecord);
  request.octets_[1] = static_cast<std::uint8_t>(groups.size() * kFileGroupSize);
  std::size_t at = 2;
  for (const FileRecord& group : groups) {
    assert(group.file >= 1 && group.record <= kFileRecordMax && group.count >= 1);
    request.octets_[at] = kFileReferenceType;
    base::write_be16(request.octets_, at + 1, group.file);
    base::write_be16(request.octets_, at + 3, group.record);
    base::write_be16(request.octets_, at + 5, group.count);
    at += kFileGroupSize;
  }
  request.size_ = static_cast<std::uint16_t>(at);
  assert(request.answer_size_max() <= std::size_t{2} + kFileDataMax);
  return request;
}

Request mask_write_register(std::uint16_t address, std::uint16_t and_mask, std::uint16_t or_mask) {
  Request request = make_words(FunctionCode::kMaskWriteRegister, address, and_mask);
  base::write_be16(request.octets_, 5, or_mask);
  request.size_ = 7;
  return request;
}

Request read_write_registers(std::uint16_t address, std::uint16_t count, std::uint16_t write_address,
                             std::span<const std::uint16_t> words) {
  assert(count >= 1 && count <= kReadRegistersMax);
  assert(!words.empty() && words.size() <= kReadWriteRegistersMax);
  Request request = make_words(FunctionCode::kReadWriteRegisters, address, count);
  base::write_be16(request.octets_, 5, write_address);
  base::write_be16(request.octets_, 7, static_cast<std::uint16_t>(words.size()));
  request.octets_[9] = static_cast<std::uint8_t>(words.size() * 2);
  std::size_t at = 10;
  for (const std::uint16_t word : words) {
    base::write_be16(request.octets_, at, word);
    at += 2;
  }
  request.size_ = static_cast<std::uint16_t>(at);
  return request;
}

Request read_fifo_queue(std::uint16_t address) {
  Request request = make_words(FunctionCode::kReadFifoQueue, address, 0);
  request.size_ = 3;
  return request;
}

Request read_device_identification(ReadDeviceId code, std::uint8_t object_id) {
  Request request;
  request.octets_[0] = static_cast<std::uint8_t>(FunctionCode::kEncapsulatedInterface);
  request.octets_[1] = kMeiDeviceIdentification;
  request.octets_[2] = static_cast<std::uint8_t>(code);
  request.octets_[3] = object_id;
  request.octets_[4] = 0;
  request.size_ = 4;
  return request;
}

}  // namespace protocol::pdu
