#include "protocol/pdu/request.hpp"

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
  if (function() == FunctionCode::kEncapsulatedInterface) return octets_[3];
  return base::read_be16(octets_, 1);
}

std::uint16_t Request::count() const {
  if (function() == FunctionCode::kEncapsulatedInterface) return octets_[2];
  return base::read_be16(octets_, 3);
}

bool Request::is_read() const {
  switch (function()) {
    case FunctionCode::kReadHoldingRegisters:
    case FunctionCode::kReadInputRegisters:
    case FunctionCode::kEncapsulatedInterface: return true;
    case FunctionCode::kWriteSingleCoil:
    case FunctionCode::kWriteSingleRegister:
    case FunctionCode::kDiagnostics:
    case FunctionCode::kWriteMultipleRegisters: break;
  }
  return false;
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
