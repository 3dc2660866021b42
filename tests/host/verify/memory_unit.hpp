#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "host/verify/reader.hpp"
#include "host/verify/snapshot.hpp"
#include "protocol/session/device.hpp"

/// A unit in memory that keeps to the profile: live registers, a latch, a packed image, identification.
class MemoryUnit final : public protocol::session::Device {
 public:
  using Exception = protocol::pdu::ExceptionCode;

  /// Its live points read as in `snapshot`; what is missing there is not fitted.
  explicit MemoryUnit(const host::verify::Snapshot& snapshot);

  Exception read_registers(protocol::session::Table table, std::uint16_t address,
                           protocol::base::WordSink words) override;
  Exception write_registers(std::uint16_t address, protocol::base::Words words) override;
  protocol::session::Object identification(std::uint8_t id) override;

  void set(protocol::points::Point point, std::int64_t number);
  void latch(std::uint16_t owner);
  void restart();

  std::map<std::uint8_t, std::string> objects;
  bool has_latch = true;
  std::uint16_t image_size;                  // an older profile's image is shorter
  std::vector<std::uint16_t> absent_groups;  // addresses of their blocks
  std::function<void()> before_read;         // called ahead of each read of registers

 private:
  std::map<std::pair<int, std::uint16_t>, std::uint16_t> live_;  // by table and address
  std::vector<std::uint16_t> image_;
};

/// A Reader that hands its requests to a unit in memory through protocol's own answers.
class MemoryReader : public host::verify::Reader {
 public:
  explicit MemoryReader(MemoryUnit& unit) : unit_{unit} {}

  host::link::Result<std::vector<std::uint16_t>> read(host::link::Table table, std::uint16_t address,
                                                      std::uint16_t count) override;
  host::link::Result<void> write(std::uint16_t address, std::span<const std::uint16_t> words) override;
  host::link::Result<host::link::DeviceObjects> identify() override;
  [[nodiscard]] host::link::WireStatistics statistics() const override { return statistics_now; }

  int answers_left = 1000;  // then the line is silent
  host::link::WireStatistics statistics_now;
  std::vector<std::pair<std::uint16_t, std::uint16_t>> reads;  // address, count
  int transactions = 0;

 private:
  [[nodiscard]] std::optional<host::link::LinkError> silence();

  MemoryUnit& unit_;
};
