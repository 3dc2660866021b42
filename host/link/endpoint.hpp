#pragma once

#include <memory>
#include <optional>
#include <string>

#include <sys/types.h>

#include "host/link/line_counters.hpp"
#include "host/link/link_error.hpp"
#include "host/link/parity_marks.hpp"
#include "host/link/serial_handle.hpp"
#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"

namespace host::link {

/// One open descriptor that octets go through, and what is particular to its kind.
class Endpoint {
 public:
  Endpoint() = default;
  virtual ~Endpoint() = default;
  Endpoint(const Endpoint&) = delete;
  Endpoint& operator=(const Endpoint&) = delete;

  /// A read of it ends at once, or after read_patience().
  [[nodiscard]] virtual int fd() const = 0;

  /// How long a read waits by itself for something to come; 0 where it doesn't wait.
  [[nodiscard]] virtual protocol::base::Duration read_patience() const = 0;

  /// What it is called in messages.
  [[nodiscard]] virtual const std::string& name() const = 0;

  /// As write(2) without waiting, and without a signal where the other side has gone.
  [[nodiscard]] virtual ssize_t write(protocol::base::Octets octets) = 0;

  /// What octets that were read mean: which are sound, and where damage lies between them. Until the next
  /// call.
  [[nodiscard]] virtual const ParityMarks::Sound& sound(protocol::base::Octets octets) = 0;

  /// What to do when it went away.
  [[nodiscard]] virtual std::string_view remedy_when_gone() const = 0;

  /// What its driver has counted of wrong characters since it was opened; nothing where nobody counts.
  [[nodiscard]] virtual std::optional<LineCounters> line_counters() const { return std::nullopt; }

  /// Gives it back as it was found. Safe to call twice.
  virtual void close() = 0;
};

/// A serial device or pseudo-terminal that was opened for ourselves alone.
[[nodiscard]] std::unique_ptr<Endpoint> serial_endpoint(SerialHandle handle);

/// A connected socket called `name`, which doesn't wait; closed with the endpoint.
[[nodiscard]] std::unique_ptr<Endpoint> socket_endpoint(int fd, std::string name);

}  // namespace host::link
