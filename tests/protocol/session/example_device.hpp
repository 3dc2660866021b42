#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/session/device.hpp"

namespace tests::session {

/// A unit with 256 registers in both tables and whatever a test puts into them; counts what it was told.
class ExampleDevice final : public protocol::session::Device {
 public:
  using Code = protocol::pdu::ExceptionCode;

  Code read_registers(protocol::session::Table table, std::uint16_t address,
                      std::span<std::uint16_t> words) override {
    ++calls;
    const auto& from = table == protocol::session::Table::kHolding ? holding : input;
    if (address + words.size() > size) return Code::kIllegalDataAddress;
    if (refuses != Code::kNone) return refuses;
    for (std::size_t i = 0; i < words.size(); ++i) words[i] = from[address + i];
    return Code::kNone;
  }
  Code write_registers(std::uint16_t address, std::span<const std::uint16_t> words) override {
    ++calls;
    if (address + words.size() > size) return Code::kIllegalDataAddress;
    if (refuses != Code::kNone) return refuses;
    for (std::size_t i = 0; i < words.size(); ++i) holding[address + i] = words[i];
    ++writes;
    return Code::kNone;
  }
  Code write_coil(std::uint16_t address, bool on) override {
    ++calls;
    if (address >= size) return Code::kIllegalDataAddress;
    if (refuses != Code::kNone) return refuses;
    coils[address] = on;
    ++writes;
    return Code::kNone;
  }
  std::optional<std::string_view> identification(std::uint8_t id) override { return objects[id]; }

  std::array<std::uint16_t, 256> holding{};
  std::array<std::uint16_t, 256> input{};
  std::array<bool, 256> coils{};
  std::array<std::optional<std::string>, 256> objects;
  std::size_t size = 256;
  Code refuses = Code::kNone;
  int calls = 0;
  int writes = 0;
};

}  // namespace tests::session
