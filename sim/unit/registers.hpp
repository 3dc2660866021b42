#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <map>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "protocol/session/device.hpp"
#include "sim/unit/arming.hpp"
#include "sim/unit/unit.hpp"

namespace sim::unit {

/// A unit as its registers show it, for protocol/session's server.
///
/// Live points stand in a block of kGroupSpan registers a group, in the table that reads them; unused
/// addresses of a block read 0, addresses in no block answer exception 02. The packed image answers exception
/// 04 until the first latch, so nobody takes a set of readings that no one asked for. Writing a word to
/// snapshot.latch copies every point into the image at once and makes that word the owner; words that mean
/// "unread" are refused with exception 03. Settings and stamp answer exception 04 until the client that
/// writes has armed them (arming.hpp), 03 to what is outside a limit (written.hpp).
class Registers final : public protocol::session::Device {
 public:
  /// `unit` outlives it and is advanced by the caller.
  explicit Registers(Unit& unit);

  /// Called when settings or stamp have been written, before that is acknowledged: whoever keeps the memory
  /// keeps it now.
  void when_written(std::function<void()> call) { written_ = std::move(call); }
  /// Who sends the requests that follow; where nobody says, there is one client. Each has a leave to write of
  /// its own: what another has read of the unit is no reason to let this one write.
  void asked_by(Asker asker) { asker_ = asker; }
  /// That client has gone, and its leave with it.
  void link_lost(Asker asker) { armings_.erase(asker); }

  [[nodiscard]] protocol::pdu::ExceptionCode read_registers(protocol::session::Table table,
                                                            std::uint16_t address,
                                                            protocol::base::WordSink words) override;
  [[nodiscard]] protocol::pdu::ExceptionCode write_registers(std::uint16_t address,
                                                             protocol::base::Words words) override;
  [[nodiscard]] protocol::session::Object identification(std::uint8_t id) override;

  /// File kLogFile: the event log, kLogWords registers a slot (boot, uptime high, uptime low, code, value),
  /// slot n at record n x kLogWords; slots never written read 0. File kEdidFile + n: the EDID of input n, two
  /// octets a register, the first in the high octet.
  [[nodiscard]] protocol::pdu::ExceptionCode read_file(std::uint16_t file, std::uint16_t record,
                                                       protocol::base::WordSink words) override;

  static constexpr std::uint16_t kLogFile = 1;
  static constexpr std::uint16_t kEdidFile = 16;
  static constexpr std::size_t kLogWords = 5;

 private:
  [[nodiscard]] std::vector<std::uint16_t> file(std::uint16_t number) const;
  void latch(std::uint16_t owner);
  [[nodiscard]] protocol::pdu::ExceptionCode control(protocol::points::Point point, std::uint16_t word);
  [[nodiscard]] std::uint16_t arming_word() const;
  void heard();
  void encode(protocol::points::Point point, std::span<std::uint16_t> registers) const;
  [[nodiscard]] std::uint16_t live(protocol::session::Table table, std::uint16_t address) const;

  Unit& unit_;
  Asker asker_ = 0;
  std::map<Asker, Arming> armings_;  // of those that have asked for leave and are there
  std::function<void()> written_;
  std::vector<std::uint16_t> image_;  // empty until the first latch
  std::uint16_t generation_ = 0;
  std::uint16_t owner_ = 0;
  std::array<std::string, 8> objects_;  // 0..2, then 0x80..0x84
};

/// CRC-16 over the octets of the layouts of a minor version, in the order of Point: what object 0x83 carries
/// of each.
[[nodiscard]] std::uint16_t layout_crc(std::uint8_t minor);

}  // namespace sim::unit
