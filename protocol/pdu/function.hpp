#pragma once

#include <cstddef>
#include <cstdint>

namespace protocol::pdu {

/// The function codes this tool speaks at both ends. Others are known by length alone (length.hpp).
/// Source  MODBUS Application Protocol V1.1b3, 6.
enum class FunctionCode : std::uint8_t {
  read_holding_registers = 0x03,
  read_input_registers = 0x04,
  write_single_coil = 0x05,
  write_single_register = 0x06,
  diagnostics = 0x08,
  write_multiple_registers = 0x10,
  encapsulated_interface = 0x2B,
};

/// Why a server refused; `none` means that it did not.
/// Source  AP V1.1b3, 7. Codes 07 and 09 are not in it.
enum class ExceptionCode : std::uint8_t {
  none = 0x00,
  illegal_function = 0x01,
  illegal_data_address = 0x02,
  illegal_data_value = 0x03,
  server_device_failure = 0x04,
  acknowledge = 0x05,
  server_device_busy = 0x06,
  memory_parity_error = 0x08,
  gateway_path_unavailable = 0x0A,
  gateway_target_failed = 0x0B,
};

/// Sizes and quantities. Source  AP V1.1b3, 4.1 and the clause of each function.
inline constexpr std::size_t kPduSizeMax = 253;
inline constexpr std::uint16_t kReadRegistersMax = 125;
inline constexpr std::uint16_t kWriteRegistersMax = 123;
inline constexpr std::uint8_t kExceptionFlag = 0x80;
inline constexpr std::uint16_t kCoilOn = 0xFF00;
inline constexpr std::uint8_t kMeiDeviceIdentification = 0x0E;

/// Serial addresses of units. 0 is broadcast, 248..255 are reserved.
/// Source  MODBUS over Serial Line V1.02, 2.2.
inline constexpr std::uint8_t kBroadcast = 0;
inline constexpr std::uint8_t kUnitAddressMax = 247;

/// What 2B/0E asks for: the objects of a category as a stream, or one object.
/// Source  AP V1.1b3, 6.21.
enum class ReadDeviceId : std::uint8_t { basic = 0x01, regular = 0x02, extended = 0x03, individual = 0x04 };

}  // namespace protocol::pdu
