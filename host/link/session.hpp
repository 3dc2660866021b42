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
#include "host/link/url.hpp"
#include "protocol/base/time.hpp"
#include "protocol/session/device.hpp"
#include "protocol/session/statistics.hpp"

namespace host::link {

using Table = protocol::session::Table;

struct SessionOptions {
  std::uint8_t unit_address = 1;  ///< 1..247
  /// The line as the unit's board wants it; what the link's own text says comes first.
  LineSettings line;
  /// The board's worst time from a request to its answer, and the adapter's share.
  protocol::base::Duration turnaround_max = protocol::base::milliseconds(200);
  protocol::base::Duration adapter_latency_max = protocol::base::milliseconds(16);
  /// How long to listen before the first octet; not done where the link says own=yes, nor on sim:.
  protocol::base::Duration listen_for = protocol::base::milliseconds(1000);
  /// Talk although somebody else does.
  bool share = false;
  /// Any register that may be read; the first exchange reads it and throws the data away.
  std::uint16_t probe_address = 0;
  /// Where a simulator finds its kits; empty leaves that to it.
  std::filesystem::path catalog;
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
  /// Errors   all of Fault. A unit that says nothing is `silent` (69) before the deadline, and the message
  /// says
  ///          what was tried; traffic heard before the first octet is `foreign_traffic` (74).
  [[nodiscard]] static Result<Session> open(const LinkUrl& link, const SessionOptions& options,
                                            Deadline deadline, const CancelToken& cancel);

  /// As open(), over a port that is open already, whose line is `options.line`. Listens unless `own`.
  [[nodiscard]] static Result<Session> over(std::unique_ptr<Port> port, const SessionOptions& options,
                                            bool own, Deadline deadline, const CancelToken& cancel);

  /// Reads 1..125 registers at the PDU address `address`.
  /// Errors   refused (exception_code says with what), silent, noisy, senseless, gone, out_of_time,
  /// cancelled.
  [[nodiscard]] Result<std::vector<std::uint16_t>> read(Table table, std::uint16_t address,
                                                        std::uint16_t count);

  /// Writes 1..123 holding registers. That the unit acknowledged them proves nothing: read them back.
  /// Errors   as read().
  [[nodiscard]] Result<void> write(std::uint16_t address, std::span<const std::uint16_t> words);

  /// Reads all identification objects the unit offers.
  /// Errors   as read(); `refused` if it has none.
  [[nodiscard]] Result<DeviceObjects> identify();

  [[nodiscard]] WireStatistics statistics() const;

  /// More than 10 % bad frames: nothing read over this link may carry a verdict.
  [[nodiscard]] bool line_gate_broken() const;

  /// What the port is called, and the line's settings as used.
  [[nodiscard]] const std::string& port() const;
  [[nodiscard]] const LineSettings& line() const;

 private:
  struct Impl;
  explicit Session(std::unique_ptr<Impl> impl);
  [[nodiscard]] static Result<Session> begin(std::unique_ptr<Impl> impl, bool own);

  std::unique_ptr<Impl> impl_;
};

}  // namespace host::link
