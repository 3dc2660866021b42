#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "host/link/cancel.hpp"
#include "host/link/line_counters.hpp"
#include "host/link/link_error.hpp"
#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"

namespace host::link {

/// What happens at a port, told from within Port::run_one().
class PortListener {
 public:
  virtual ~PortListener() = default;

  /// Sound octets, in order. The view ends with the call.
  virtual void octets_arrived(protocol::base::Octets octets, protocol::base::Instant now) = 0;

  /// Which octet the next octet_damaged() is of, as it came, where the port knows: for a record, never data.
  virtual void octet_was(std::uint8_t octet) { (void)octet; }

  /// At this place in the stream an octet arrived with a parity or framing error, or a break.
  virtual void octet_damaged(protocol::base::Instant now) = 0;

  /// The time given to wake_at() has come. May be early by what the clock is coarse; never lost.
  virtual void woken(protocol::base::Instant now) = 0;

  /// The port is gone and will say nothing more.
  virtual void lost(const LinkError& error) = 0;
};

/// Octets out, octets in, and a clock: what a session needs of a line, real or in memory.
///
/// A port never blocks but in run_one(), never spins, and after lost() only close() does anything.
class Port {
 public:
  Port() = default;
  virtual ~Port() = default;
  Port(const Port&) = delete;
  Port& operator=(const Port&) = delete;

  /// What the port is called in messages.
  [[nodiscard]] virtual const std::string& name() const = 0;

  /// Now, on this port's clock; it never goes backwards.
  [[nodiscard]] virtual protocol::base::Instant now() const = 0;

  /// Who is told what happens; null tells nobody. Set before the first run_one().
  virtual void set_listener(PortListener* listener) = 0;

  /// Sends `octets`, copied before the call returns. One send at a time: the next follows an answer, a wait
  /// or an error, never a send that may still be under way. Errors   kGone, kPortFailed.
  [[nodiscard]] virtual Result<void> send(protocol::base::Octets octets) = 0;

  /// Asks for woken() at `at`, in place of any earlier wish.
  virtual void wake_at(protocol::base::Instant at) = 0;

  /// Nothing that comes before `at` is of use by itself: it may be handed on then, with what came behind it.
  /// A line that hands on eight octets at a time so wakes its program a few times for a long frame, not
  /// thirty. Holds for the next run_one() alone, which still ends at once when it is cancelled. A port may do
  /// without.
  virtual void rest_until(protocol::base::Instant at) { (void)at; }

  /// Waits until one thing has happened and the listener knows of it, or until `cancel` asks to stop.
  /// Precondition: something can happen (a wake-up is set). Errors   kCancelled.
  [[nodiscard]] virtual Result<void> run_one(const CancelToken& cancel) = 0;

  /// What the port's driver has counted of wrong characters since the port was opened, damaged ones that were
  /// told and lost ones that couldn't be. Nothing where nobody counts: sockets, pseudo-terminals, memory.
  [[nodiscard]] virtual std::optional<LineCounters> line_counters() const { return std::nullopt; }

  /// Gives the port back as it was. Safe to call twice.
  virtual void close() = 0;
};

}  // namespace host::link
