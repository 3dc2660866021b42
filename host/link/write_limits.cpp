#include "host/link/write_limits.hpp"

#include <algorithm>

#include <fmt/core.h>

#include "protocol/base/bytes.hpp"
#include "protocol/pdu/function.hpp"

namespace host::link {

namespace {

using protocol::base::read_be16;
using protocol::pdu::FunctionCode;

// Restart, force to listen only, clear counters, clear the overrun counter. Source  AP V1.1b3, 6.8.1.
bool changes_the_unit(std::uint16_t sub_function) {
  return sub_function == 0x01 || sub_function == 0x03 || sub_function == 0x04 || sub_function == 0x0A ||
         sub_function == 0x14;
}

/// Registers in a request: where their address stands, and their first word. Source  AP V1.1b3, 6.12
/// and 6.17.
struct Block {
  std::size_t address_at, words_at;
};
constexpr Block kOf10{1, 6};
constexpr Block kOf17{5, 10};

}  // namespace

WriteLimits WriteLimits::none() {
  WriteLimits all;
  all.limited_ = false;
  return all;
}

void WriteLimits::allow(std::uint16_t address, std::uint16_t lowest, std::uint16_t highest) {
  ranges_.push_back({address, lowest, highest});
}

std::optional<std::string> WriteLimits::refusal_of(std::uint16_t address, std::uint16_t lowest,
                                                   std::uint16_t highest) const {
  const auto range =
      std::find_if(ranges_.begin(), ranges_.end(), [&](const Range& one) { return one.address == address; });
  if (range == ranges_.end()) return fmt::format("register 0x{:04X} is not to be written", address);
  if (lowest >= range->lowest && highest <= range->highest) return std::nullopt;
  return fmt::format("register 0x{:04X} takes {} to {}, not {}", address, range->lowest, range->highest,
                     lowest < range->lowest ? lowest : highest);
}

std::optional<std::string> WriteLimits::refusal(const protocol::pdu::Request& request) const {
  if (!limited_) return std::nullopt;
  const protocol::base::Octets octets = request.octets();
  switch (request.function()) {
    case FunctionCode::kWriteSingleRegister:
      return refusal_of(request.address(), request.count(), request.count());
    case FunctionCode::kMaskWriteRegister: return refusal_of(request.address(), 0, UINT16_MAX);
    case FunctionCode::kWriteMultipleRegisters:
    case FunctionCode::kReadWriteRegisters: {
      const Block block = request.function() == FunctionCode::kReadWriteRegisters ? kOf17 : kOf10;
      std::uint16_t address = read_be16(octets, block.address_at);
      for (std::size_t at = block.words_at; at + 1 < octets.size(); at += 2, ++address) {
        const std::uint16_t word = read_be16(octets, at);
        if (auto refused = refusal_of(address, word, word)) return refused;
      }
      return std::nullopt;
    }
    case FunctionCode::kWriteSingleCoil:
    case FunctionCode::kWriteMultipleCoils:
      return fmt::format("coil 0x{:04X} is not to be written", request.address());
    case FunctionCode::kDiagnostics:
      if (changes_the_unit(request.address())) {
        return fmt::format("diagnostics {:02X} changes the unit", request.address());
      }
      return std::nullopt;
    default: return std::nullopt;
  }
}

}  // namespace host::link
