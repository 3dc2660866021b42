#pragma once

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

  // Longer together than one answer can hold, so that reading them takes several.
  std::map<std::uint8_t, std::string> objects{{0x00, "Hedgerow Works"},
                                              {0x01, "alder-3"},
                                              {0x02, "0.1"},
                                              {0x80, std::string(200, 'p')},
                                              {0x84, std::string(120, 'b')}};

 private:
  std::map<std::uint16_t, std::uint16_t> written_;
};
