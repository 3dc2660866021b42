#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include <tl/expected.hpp>

#include "host/link/trace/cutter.hpp"
#include "host/link/trace/ordinary_file.hpp"
#include "host/link/trace/packet.hpp"
#include "host/link/trace/record.hpp"
#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"

namespace host::link::trace {

/// Writes what is said on a wire to a pcapng file while it is said; each frame has left this program before
/// the next one begins. A file that can be written no more is said at close(), and disturbs nobody before.
///
/// Of octets received in a row, with nothing sent between, the first 64 KiB are written and the latest piece,
/// which says in a comment how many before it were left out: a peer that floods the line fills no disk.
///
/// Shape   one section with the preamble as its comment, one interface with times in microseconds, one
/// enhanced
///         packet a record (packet.hpp) that tells its direction.
/// Source  PCAP Next Generation (pcapng) Capture File Format, 4.1, 4.2, 4.3.
class Writer {
 public:
  using Instant = protocol::base::Instant;

  /// Opens `path`, or creates it; what is in it stays until begin(). A file that was created and never began
  /// goes with this object. Errors   the reason with its errno: no ordinary file, no right to write there.
  [[nodiscard]] static tl::expected<std::unique_ptr<Writer>, TraceError> create(const std::string& path);

  ~Writer();
  Writer(const Writer&) = delete;
  Writer& operator=(const Writer&) = delete;

  /// The first words of the file, in place of what it held. `now` is the moment on the port's clock that
  /// `wall_us` since 1970 is. Later calls change the clock only: a port that came back is the same wire.
  void begin(const Preamble& preamble, std::int64_t wall_us, Instant now);

  void sent(protocol::base::Octets octets, Instant now);
  void received(protocol::base::Octets octets, Instant now);
  /// `octet` as it came, if that is known; `parity` where it is known that its parity was wrong.
  void damaged(Instant now, std::optional<std::uint8_t> octet = {}, bool parity = false);
  void lost(Instant now);

  /// Writes what is held. Errors   why the file isn't whole.
  [[nodiscard]] tl::expected<void, TraceError> close();

 private:
  Writer(FileHandle file, std::string path, bool created);
  void write(protocol::base::Octets octets);
  void put(Record::Kind kind, protocol::base::Octets octets, Instant first, Instant last,
           bool parity = false);
  void put(const Record& record);
  void leave_out(Record record);
  void end_row();
  [[nodiscard]] std::int64_t wall(Instant at) const { return wall_us_ + (at - began_).count(); }

  FileHandle file_;
  std::string path_;
  bool created_;  // by us
  Cutter cutter_;
  std::optional<PacketMaker> maker_;
  Carrier carrier_ = Carrier::kRtu;
  std::int64_t wall_us_ = 0;
  Instant began_{};
  std::size_t in_a_row_ = 0;        // octets received since anything else
  std::optional<Record> latest_{};  // of those that are too many
  int error_ = 0;
};

}  // namespace host::link::trace
