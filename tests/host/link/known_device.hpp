#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <string>

#include "protocol/session/device.hpp"

/// A unit whose every input register below 0x8000 holds its own address, so that any value tells where it
/// came from. Holding registers 0..99 hold what was written.
class KnownDevice final : public protocol::session::Device {
 public:
  using Exception = protocol::pdu::ExceptionCode;

  Exception read_registers(protocol::session::Table table, std::uint16_t address,
                           protocol::base::WordSink words) override {
    const bool input = table == protocol::session::Table::kInput;
    if (address + words.size() > (input ? 0x8000U : 100U)) {
      return Exception::kIllegalDataAddress;
    }
    for (std::size_t i = 0; i < words.size(); ++i) {
      const auto at = static_cast<std::uint16_t>(address + i);
      words.set(i, input ? at : written_[at]);
    }
    return Exception::kNone;
  }

  Exception write_registers(std::uint16_t address, protocol::base::Words words) override {
    if (address + words.size() > 100U) {
      return Exception::kIllegalDataAddress;
    }
    for (std::size_t i = 0; i < words.size(); ++i) {
      written_[static_cast<std::uint16_t>(address + i)] = words[i];
    }
    return Exception::kNone;
  }

  protocol::session::Object identification(std::uint8_t id) override {
    const auto found = objects.find(id);
    if (found == objects.end()) return {};
    return {true, found->second};
  }

  Exception read_file(std::uint16_t file, std::uint16_t record, protocol::base::WordSink words) override {
    for (std::size_t i = 0; i < words.size(); ++i)
      words.set(i, static_cast<std::uint16_t>(file + record + i));
    return Exception::kNone;
  }

  protocol::session::Queued read_fifo(std::uint16_t address, protocol::base::WordSink words) override {
    if (address != 0x0040) return {Exception::kIllegalDataAddress, 0};
    for (std::uint16_t i = 0; i < 3; ++i) words.set(i, static_cast<std::uint16_t>(700 + i));
    return {Exception::kNone, 3};
  }

  protocol::base::Octets server_id() override { return {kServerId}; }

  // Longer together than one answer can hold, so that reading them takes several.
  std::map<std::uint8_t, std::string> objects{{0x00, "Hedgerow Works"},
                                              {0x01, "alder-3"},
                                              {0x02, "0.1"},
                                              {0x80, std::string(200, 'p')},
                                              {0x84, std::string(120, 'b')}};

 private:
  static constexpr std::array<std::uint8_t, 3> kServerId{0x2A, 0xFF, 'k'};  // id, running, what a maker adds
  std::map<std::uint16_t, std::uint16_t> written_;
};
