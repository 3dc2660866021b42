#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

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
  Code read_file(std::uint16_t file, std::uint16_t record, protocol::base::WordSink words) override {
    return busy ? Code::kServerDeviceBusy : behind_.read_file(file, record, words);
  }
  protocol::session::Queued read_fifo(std::uint16_t address, protocol::base::WordSink words) override {
    if (busy) return {Code::kServerDeviceBusy, 0};
    return behind_.read_fifo(address, words);
  }
  protocol::session::Object identification(std::uint8_t id) override { return behind_.identification(id); }
  protocol::base::Octets server_id() override { return behind_.server_id(); }

  bool busy = false;

 private:
  protocol::session::Device& behind_;
};

/// A unit whose every word tells where and when it was read: each is made of what it was read from, its place
/// there and the operation under way, so that an answer to anything else is seen to be one. A block of
/// holding registers can be written.
class TellingDevice final : public protocol::session::Device {
 public:
  using Code = protocol::pdu::ExceptionCode;
  using Table = protocol::session::Table;

  static constexpr std::uint16_t kScratch = 0x0E00;  // low enough for coils to reach it
  static constexpr std::uint16_t kScratchSize = 256;
  static constexpr std::uint16_t kAbsent = 0xF000;
  static constexpr std::uint8_t kQueuedMax = protocol::pdu::kFifoWordsMax;
  static constexpr std::array<std::uint8_t, 8> kObjects{0, 1, 2, 0x80, 0x81, 0x82, 0x83, 0x84};

  /// What may be written, as it stands.
  using Scratch = std::array<std::uint16_t, kScratchSize>;

  [[nodiscard]] std::uint16_t word(Table table, std::uint16_t address) const {
    if (table == Table::kInput) return told(0, address);
    if (address >= kScratch && address < kScratch + kScratchSize)
      return scratch[static_cast<std::size_t>(address - kScratch)];
    return told(0x5A5A, address);
  }
  [[nodiscard]] std::uint16_t file_word(std::uint16_t file, std::uint16_t record) const {
    return told(0xF11E, file * 0x10000U + record);
  }
  [[nodiscard]] std::uint8_t queued(std::uint16_t address) const {
    return static_cast<std::uint8_t>(1 + told(0xF1F0, address) % kQueuedMax);
  }
  [[nodiscard]] std::uint16_t queue_word(std::uint16_t address, std::uint8_t at) const {
    return told(0xF1F1, address * 0x100U + at);
  }
  /// The text of one of kObjects; all of them together don't fit into one answer. Stays until the next call.
  [[nodiscard]] std::string_view text(std::uint8_t id) {
    const std::size_t size = 20 + (id % 8) * std::size_t{6};
    for (std::size_t i = 0; i < size; i += 2) {
      const std::uint16_t word = told(0x1D, id * 0x100U + static_cast<std::uint32_t>(i));
      text_[i] = static_cast<char>('A' + (word & 0xFU));
      text_[i + 1] = static_cast<char>('a' + (word >> 12U));
    }
    return {text_.data(), size};
  }

  Code read_registers(Table table, std::uint16_t address, protocol::base::WordSink words) override {
    if (address + words.size() > kAbsent) return Code::kIllegalDataAddress;
    for (std::size_t i = 0; i < words.size(); ++i)
      words.set(i, word(table, static_cast<std::uint16_t>(address + i)));
    return Code::kNone;
  }
  Code write_registers(std::uint16_t address, protocol::base::Words words) override {
    if (address < kScratch || address + words.size() > kScratch + std::size_t{kScratchSize})
      return Code::kIllegalDataAddress;
    for (std::size_t i = 0; i < words.size(); ++i) scratch[address - kScratch + i] = words[i];
    return Code::kNone;
  }
  Code read_file(std::uint16_t file, std::uint16_t record, protocol::base::WordSink words) override {
    for (std::size_t i = 0; i < words.size(); ++i)
      words.set(i, file_word(file, static_cast<std::uint16_t>(record + i)));
    return Code::kNone;
  }
  protocol::session::Queued read_fifo(std::uint16_t address, protocol::base::WordSink words) override {
    const std::uint8_t count = queued(address);
    for (std::uint8_t i = 0; i < count; ++i) words.set(i, queue_word(address, i));
    return {Code::kNone, count};
  }
  protocol::session::Object identification(std::uint8_t id) override {
    if (std::find(kObjects.begin(), kObjects.end(), id) == kObjects.end()) return {};
    return {true, text(id)};
  }
  /// Two octets that tell when, the run indicator, two more.
  protocol::base::Octets server_id() override {
    for (std::uint32_t i = 0; i < 2; ++i) protocol::base::write_be16(id_, i * std::size_t{3}, told(0x11, i));
    id_[2] = 0xFF;
    return id_;
  }

  std::uint32_t epoch = 0;
  Scratch scratch{};

 private:
  [[nodiscard]] std::uint16_t told(std::uint32_t of, std::uint32_t place) const {
    std::uint32_t mixed = (epoch * 0x9E3779B9U) ^ (place * 0x85EBCA6BU) ^ of;
    mixed ^= mixed >> 15;
    mixed *= 0x2C1B3C6DU;
    return static_cast<std::uint16_t>(mixed >> 16);
  }

  std::array<char, 64> text_{};
  std::array<std::uint8_t, 5> id_{};
};

}  // namespace tests::soak
