#pragma once

#include <cstddef>
#include <cstdint>

namespace protocol::pdu {

/// The function codes this tool speaks at both ends. Others are known by length alone (length.hpp).
/// Source  MODBUS Application Protocol V1.1b3, 6.
enum class FunctionCode : std::uint8_t {
  kReadCoils = 0x01,
  kReadDiscreteInputs = 0x02,
  kReadHoldingRegisters = 0x03,
  kReadInputRegisters = 0x04,
  kWriteSingleCoil = 0x05,
  kWriteSingleRegister = 0x06,
  kDiagnostics = 0x08,
  kWriteMultipleCoils = 0x0F,
  kWriteMultipleRegisters = 0x10,
  kReportServerId = 0x11,
  kReadFileRecord = 0x14,
  kMaskWriteRegister = 0x16,
  kReadWriteRegisters = 0x17,
  kReadFifoQueue = 0x18,
  kEncapsulatedInterface = 0x2B,
};

/// Whether `function` is one of these.
[[nodiscard]] constexpr bool is_spoken(std::uint8_t function) {
  constexpr std::uint32_t kBelow20h = 0x01D3817E;  // a bit a code
  return function < 0x20 ? ((kBelow20h >> function) & 1U) != 0 : function == 0x2B;
}

/// Why a server refused; `none` means that it did not.
/// Source  AP V1.1b3, 7. Codes 07 and 09 are not in it.
enum class ExceptionCode : std::uint8_t {
  kNone = 0x00,
  kIllegalFunction = 0x01,
  kIllegalDataAddress = 0x02,
  kIllegalDataValue = 0x03,
  kServerDeviceFailure = 0x04,
  kAcknowledge = 0x05,
  kServerDeviceBusy = 0x06,
  kMemoryParityError = 0x08,
  kGatewayPathUnavailable = 0x0A,
  kGatewayTargetFailed = 0x0B,
};

/// Sizes and quantities. Source  AP V1.1b3, 4.1 and the clause of each function.
inline constexpr std::size_t kPduSizeMax = 253;
inline constexpr std::uint16_t kReadRegistersMax = 125;
inline constexpr std::uint16_t kWriteRegistersMax = 123;
inline constexpr std::uint16_t kReadBitsMax = 2000;
inline constexpr std::uint16_t kWriteBitsMax = 1968;
/// Registers that 17 may write beside those it reads.
inline constexpr std::uint16_t kReadWriteRegistersMax = 121;
inline constexpr std::uint8_t kFifoWordsMax = 31;
/// 14: groups of seven octets, and the octets behind the byte count of an answer.
inline constexpr std::uint8_t kFileGroupSize = 7;
inline constexpr std::uint8_t kFileDataMax = 0xF5;
inline constexpr std::uint8_t kFileReferenceType = 6;
inline constexpr std::uint16_t kFileRecordMax = 0x270F;
inline constexpr std::uint8_t kExceptionFlag = 0x80;
inline constexpr std::uint16_t kCoilOn = 0xFF00;
inline constexpr std::uint8_t kMeiDeviceIdentification = 0x0E;
/// Room for one identification object's text: 253 less the seven octets ahead of the objects and its own two.
inline constexpr std::size_t kObjectSizeMax = 244;

/// Serial addresses of units. 0 is broadcast, 248..255 are reserved.
/// Source  MODBUS over Serial Line V1.02, 2.2.
inline constexpr std::uint8_t kBroadcast = 0;
inline constexpr std::uint8_t kUnitAddressMax = 247;

/// What 2B/0E asks for: the objects of a category as a stream, or one object.
/// Source  AP V1.1b3, 6.21.
enum class ReadDeviceId : std::uint8_t {
  kBasic = 0x01,
  kRegular = 0x02,
  kExtended = 0x03,
  kIndividual = 0x04
};

}  // namespace protocol::pdu
