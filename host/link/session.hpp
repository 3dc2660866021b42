#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "host/link/cancel.hpp"
#include "host/link/line_settings.hpp"
#include "host/link/link_error.hpp"
#include "host/link/port.hpp"
#include "host/link/trace/writer.hpp"
#include "host/link/url.hpp"
#include "host/link/write_limits.hpp"
#include "protocol/base/time.hpp"
#include "protocol/pdu/request.hpp"
#include "protocol/pdu/response.hpp"
#include "protocol/session/device.hpp"
#include "protocol/session/statistics.hpp"

namespace host::link {

struct Transport;

using Table = protocol::session::Table;

/// The tables of single bits. The value is the function code that reads it.
enum class BitTable : std::uint8_t { kCoils = 1, kDiscretes = 2 };

struct SessionOptions {
  std::uint8_t unit_address = 1;  ///< 1..247
  /// The line as the unit's board wants it; what the link's own text says comes first.
  LineSettings line;
  /// The board's worst time from a request to its answer, and the adapter's share where the system doesn't
  /// tell it.
  protocol::base::Duration turnaround_max = protocol::base::milliseconds(200);
  protocol::base::Duration adapter_latency_max = protocol::base::milliseconds(16);
  /// Silence kept before each request, where the unit needs more than 3.5 characters.
  protocol::base::Duration gap_min{};
  /// How long units take to do a broadcast. Source  MODBUS over Serial Line V1.02, 2.4.1: 100 to 200 ms.
  protocol::base::Duration broadcast_turnaround = protocol::base::milliseconds(100);
  /// How long to listen before the first octet; not done where the link says own=yes, nor on sim:.
  protocol::base::Duration listen_for = protocol::base::milliseconds(1000);
  /// Talk although somebody else does.
  bool share = false;
  /// Any register that may be read; the first exchange reads it and throws the data away.
  Table probe_table = Table::kHolding;
  std::uint16_t probe_address = 0;
  /// Registers that no two units have alike, their serial number. None: the probe register is asked instead,
  /// and then two units are told from a line that repeats by chance only.
  Table own_table = Table::kInput;
  std::uint16_t own_address = 0;
  std::uint16_t own_count = 0;
  /// How a unit without 08 is proven free of old answers: protocol/session/client.hpp, ClientSettings.
  bool has_diagnostics = true;
  std::uint16_t probe_registers_max = 0;
  protocol::base::Duration answer_time_max{};
  /// What may be written; nothing, unless it is named.
  WriteLimits writes;
  /// Where a simulator finds its kits; empty leaves that to it.
  std::filesystem::path catalog;
  /// Where every octet both ways is written to as well; outlives the session. Null: nowhere.
  trace::Writer* trace = nullptr;
  /// Seed of the words that prove an answer fresh. Empty: drawn from the system, different each time.
  std::optional<std::uint32_t> seed;
};

/// What a link did since it was opened.
struct WireStatistics {
  protocol::session::Statistics counts;
  protocol::base::Duration elapsed{};  ///< since open(), listening included

  [[nodiscard]] std::uint64_t octets() const { return counts.octets_sent + counts.octets_received; }
};

/// Identification objects by number, as the unit sent them. Not trusted to be text: clean before printing.
/// Source  AP V1.1b3, 6.21.
using DeviceObjects = std::map<std::uint8_t, std::string>;

/// One unit on one link. Calls block, each until its answer, its failure, the deadline of the whole command
/// or the cancel token, whichever is first; a cancelled wait ends at once. An answer is never another
/// request's: see protocol/session/client.hpp.
///
/// Destroying a session gives the port back as it was and ends a simulator it started.
class Session {
 public:
  Session(Session&& other) noexcept;
  Session& operator=(Session&& other) noexcept;
  ~Session();

  /// Opens `link`, listens, and exchanges the first words with the unit. `cancel` outlives the session.
  /// Errors   all of Fault. A unit that says nothing is kSilent (69) before the deadline, and the message
  ///          says what was tried; traffic heard before the first octet is kForeignTraffic (74). First words
  ///          that never come sound are asked for three times more, and two answers that differ are
  ///          kSharedAddress (69).
  [[nodiscard]] static Result<Session> open(const LinkUrl& link, const SessionOptions& options,
                                            Deadline deadline, const CancelToken& cancel);

  /// As open(), over a port that is open already, whose line is `options.line`. Listens unless `own`.
  [[nodiscard]] static Result<Session> over(std::unique_ptr<Port> port, const SessionOptions& options,
                                            bool own, Deadline deadline, const CancelToken& cancel);

  /// Reads 1..125 registers at the PDU address `address`.
  /// Errors   kRefused (exception_code says with what), kSilent, kNoisy, kSenseless, kGone, kOutOfTime,
  ///          kCancelled.
  [[nodiscard]] Result<std::vector<std::uint16_t>> read(Table table, std::uint16_t address,
                                                        std::uint16_t count);

  /// Reads 1..2000 coils or discrete inputs at the PDU address `address`.
  /// Errors   as read(table).
  [[nodiscard]] Result<std::vector<bool>> read_bits(BitTable table, std::uint16_t address,
                                                    std::uint16_t count);

  /// Writes 1..123 holding registers. That the unit acknowledged them proves nothing: read them back.
  /// Errors   as read(); kNotAllowed, before an octet has left, for what SessionOptions::writes doesn't hold.
  [[nodiscard]] Result<void> write(std::uint16_t address, std::span<const std::uint16_t> words);

  /// Asks any request of protocol/pdu/request.hpp: counters and sub-functions of 08, the server's id (11),
  /// mask writes (16), a write and a read in one (17), a queue (18). The answer fits its request in function,
  /// address and length.
  /// Errors   as write().
  [[nodiscard]] Result<protocol::pdu::Response> ask(const protocol::pdu::Request& request);

  /// Sends a write to every unit on the line, and waits until they have had the time for it. No unit answers,
  /// so whether any did it is not known: read it back of each. Never sent twice.
  /// Errors   as write(); kBrokenPrecondition for other functions than 05 06 0F 10 16; kNotAvailable over
  ///          Modbus/TCP, where the address 0 is the server itself. Source  MODBUS over Serial Line V1.02,
  ///          2.1 and 2.4.1; Messaging on TCP/IP V1.0b, 4.4.1.2.
  [[nodiscard]] Result<void> broadcast(const protocol::pdu::Request& request);

  /// Reads all identification objects the unit offers.
  /// Errors   as read(); kRefused if it has none.
  [[nodiscard]] Result<DeviceObjects> identify();

  /// Reads the groups of one or more files with one request, in their order.
  /// Precondition: as protocol::pdu::read_file_records(). Errors   as read(); kRefused if it has no files.
  [[nodiscard]] Result<std::vector<std::uint16_t>> read_files(
      std::span<const protocol::pdu::FileRecord> groups);

  /// After kGone: waits for the port to come back under its stable name, or for the connection to be taken up
  /// again, tries with a growing pause of 100 ms to 2 s, and begins as open() does. What was known of the
  /// unit is then to be read again, for another one may be there. A simulator never comes back. Errors   the
  /// last reason, kOutOfTime, kCancelled; kForeignTraffic as open().
  [[nodiscard]] Result<void> reopen();

  /// The unit that is asked: of a trace, the one that was asked then.
  [[nodiscard]] std::uint8_t unit_address() const;

  /// How often reopen() succeeded.
  [[nodiscard]] std::uint32_t reopened() const;

  [[nodiscard]] WireStatistics statistics() const;

  /// More than 10 % bad frames: nothing read over this link may carry a verdict.
  [[nodiscard]] bool line_gate_broken() const;

  /// What the port is called, and the line's settings as used.
  [[nodiscard]] const std::string& port() const;
  [[nodiscard]] const LineSettings& line() const;

  /// Both, as messages name them: "/dev/ttyUSB0 at 115200 Bd 8E1", "tcp://127.0.0.1:4001".
  [[nodiscard]] std::string place() const;

  /// The random word it began with: what a caller draws comes from here, so that a replay of its trace says
  /// the same.
  [[nodiscard]] std::uint32_t seed() const;

  /// What the shortest exchange so far took beyond its octets' time on the wire: turnaround of the unit and
  /// latency of the adapter together, as measured here. The declared latency before the first answer.
  [[nodiscard]] protocol::base::Duration turnaround() const;

 private:
  struct Impl;
  explicit Session(std::unique_ptr<Impl> impl);
  [[nodiscard]] static Result<std::unique_ptr<Impl>> prepare(const SessionOptions& options, Deadline deadline,
                                                             const CancelToken& cancel);
  [[nodiscard]] static Result<Session> begin(std::unique_ptr<Impl> impl, Transport way);

  std::unique_ptr<Impl> impl_;
};

}  // namespace host::link
