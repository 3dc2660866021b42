#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "protocol/session/device.hpp"

namespace tests::session {

/// A unit with 256 registers in both tables and whatever a test puts into them; counts what it was told.
class ExampleDevice final : public protocol::session::Device {
 public:
  using Code = protocol::pdu::ExceptionCode;

  Code read_registers(protocol::session::Table table, std::uint16_t address,
                      protocol::base::WordSink words) override {
    ++calls;
    const auto& from = table == protocol::session::Table::kHolding ? holding : input;
    if (address + words.size() > size) return Code::kIllegalDataAddress;
    if (refuses != Code::kNone) return refuses;
    for (std::size_t i = 0; i < words.size(); ++i) words.set(i, from[address + i]);
    return Code::kNone;
  }
  Code write_registers(std::uint16_t address, protocol::base::Words words) override {
    ++calls;
    if (address + words.size() > size) return Code::kIllegalDataAddress;
    if (refuses != Code::kNone) return refuses;
    for (std::size_t i = 0; i < words.size(); ++i) holding[address + i] = words[i];
    ++writes;
    return Code::kNone;
  }
  protocol::session::Object identification(std::uint8_t id) override {
    if (!objects[id]) return {};
    return {true, *objects[id]};
  }
  Code read_file(std::uint16_t file, std::uint16_t record, protocol::base::WordSink words) override {
    if (refuses != Code::kNone) return refuses;
    const auto found = files.find(file);
    if (found == files.end() || record + words.size() > found->second.size())
      return Code::kIllegalDataAddress;
    for (std::size_t i = 0; i < words.size(); ++i) words.set(i, found->second[record + i]);
    return Code::kNone;
  }
  protocol::session::Queued read_fifo(std::uint16_t address, protocol::base::WordSink words) override {
    if (address != 0x04DE) return {Code::kIllegalDataAddress, 0};
    if (queue.size() > words.size()) return {Code::kIllegalDataValue, 0};
    for (std::size_t i = 0; i < queue.size(); ++i) words.set(i, queue[i]);
    return {Code::kNone, static_cast<std::uint8_t>(queue.size())};
  }
  protocol::base::Octets server_id() override { return server; }

  std::array<std::uint16_t, 256> holding{};
  std::array<std::uint16_t, 256> input{};
  std::array<std::optional<std::string>, 256> objects;
  std::map<std::uint16_t, std::vector<std::uint16_t>> files;
  std::vector<std::uint16_t> queue;
  std::vector<std::uint8_t> server;
  std::size_t size = 256;
  Code refuses = Code::kNone;
  int calls = 0;
  int writes = 0;
};

}  // namespace tests::session
