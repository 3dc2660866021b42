// The least a board adds to have a server: what scripts/footprint builds for the target, so that everything
// of the server is reached and nothing is left out as unused. Not one register of it means anything.

#include <array>

#include "protocol/points/layout.hpp"
#include "protocol/session/server.hpp"

namespace {

using protocol::base::Octets;
using protocol::base::Words;
using protocol::base::WordSink;
using protocol::pdu::ExceptionCode;
using protocol::session::Object;
using protocol::session::Queued;
using protocol::session::Table;

class Minimal final : public protocol::session::Device {
 public:
  ExceptionCode read_registers(Table table, std::uint16_t address, WordSink words) override {
    if (table == Table::kInput || address >= held_.size() || words.size() > held_.size() - address) {
      return ExceptionCode::kIllegalDataAddress;
    }
    for (std::size_t i = 0; i < words.size(); ++i) words.set(i, held_[address + i]);
    return ExceptionCode::kNone;
  }
  ExceptionCode write_registers(std::uint16_t address, Words words) override {
    if (address >= held_.size() || words.size() > held_.size() - address) {
      return ExceptionCode::kIllegalDataAddress;
    }
    for (std::size_t i = 0; i < words.size(); ++i) held_[address + i] = words[i];
    return ExceptionCode::kNone;
  }
  Object identification(std::uint8_t id) override { return {id == 0x84, "willow"}; }
  ExceptionCode read_file(std::uint16_t file, std::uint16_t record, WordSink words) override {
    return file == 1 ? read_registers(Table::kHolding, record, words) : ExceptionCode::kIllegalDataAddress;
  }
  Queued read_fifo(std::uint16_t address, WordSink words) override {
    words.set(0, address);
    return {ExceptionCode::kNone, 1};
  }
  Octets server_id() override { return kId; }

 private:
  static constexpr std::array<std::uint8_t, 2> kId{0x57, 0xFF};
  std::array<std::uint16_t, 8> held_{};
};

Minimal minimal;

}  // namespace

protocol::session::Server port{{1, {115200, 11}, {}, protocol::session::CharacterGap::kEnforced}, minimal};

// What a board's receive interrupt and main loop call.
extern "C" protocol::session::Step turn(const std::uint8_t* octets, std::size_t count, bool damage,
                                        std::int64_t now_us) {
  const protocol::base::Instant now{protocol::base::Duration{now_us}};
  port.received({octets, count}, now);
  if (damage) port.damaged(now);
  return port.step(now);
}

// A board that has the profile's table as well refers to it; scripts/footprint links it with and without.
extern "C" std::uint16_t address_of(std::uint8_t point) {
  return protocol::points::layouts()[point].address;
}
