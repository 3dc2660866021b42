#pragma once

#include <cstdint>

#include "protocol/session/device.hpp"

namespace tests::soak {

/// Stands before a unit and refuses what it is told to.
class BusyDevice final : public protocol::session::Device {
 public:
  using Code = protocol::pdu::ExceptionCode;
  using Table = protocol::session::Table;

  /// `behind` outlives it.
  explicit BusyDevice(protocol::session::Device& behind) : behind_{behind} {}

  Code read_registers(Table table, std::uint16_t address, protocol::base::WordSink words) override {
    return busy ? Code::kServerDeviceBusy : behind_.read_registers(table, address, words);
  }
  Code write_registers(std::uint16_t address, protocol::base::Words words) override {
    return busy ? Code::kServerDeviceBusy : behind_.write_registers(address, words);
  }
  protocol::session::Object identification(std::uint8_t id) override { return behind_.identification(id); }

  bool busy = false;

 private:
  protocol::session::Device& behind_;
};

/// A unit whose words tell where and when they were read: each is made of its table, its address and the
/// operation under way, so that an answer to anything else is seen to be one. One holding register can be
/// written.
class TellingDevice final : public protocol::session::Device {
 public:
  using Code = protocol::pdu::ExceptionCode;
  using Table = protocol::session::Table;

  static constexpr std::uint16_t kScratch = 0xE000;
  static constexpr std::uint16_t kAbsent = 0xF000;

  [[nodiscard]] std::uint16_t word(Table table, std::uint16_t address) const {
    if (table == Table::kHolding && address == kScratch) return scratch;
    std::uint32_t mixed =
        (epoch * 0x9E3779B9U) ^ (address * 0x85EBCA6BU) ^ (table == Table::kHolding ? 0x5A5AU : 0);
    mixed ^= mixed >> 15;
    mixed *= 0x2C1B3C6DU;
    return static_cast<std::uint16_t>(mixed >> 16);
  }

  Code read_registers(Table table, std::uint16_t address, protocol::base::WordSink words) override {
    if (address + words.size() > kAbsent) return Code::kIllegalDataAddress;
    for (std::size_t i = 0; i < words.size(); ++i)
      words.set(i, word(table, static_cast<std::uint16_t>(address + i)));
    return Code::kNone;
  }
  Code write_registers(std::uint16_t address, protocol::base::Words words) override {
    if (address != kScratch || words.size() != 1) return Code::kIllegalDataAddress;
    scratch = words[0];
    return Code::kNone;
  }
  protocol::session::Object identification(std::uint8_t id) override { return {id == 0x84, "willow"}; }

  std::uint32_t epoch = 0;
  std::uint16_t scratch = 0;
};

}  // namespace tests::soak
