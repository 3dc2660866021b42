#pragma once

#include <memory>
#include <optional>
#include <string>

#include "host/link/cancel.hpp"
#include "host/link/line_settings.hpp"
#include "host/link/link_error.hpp"
#include "host/link/port.hpp"
#include "host/link/system_ports.hpp"
#include "host/link/url.hpp"

namespace host::link {

/// An open port, and what is known of the way it leads.
struct Transport {
  std::unique_ptr<Port> port;
  LineSettings line;
  Framing framing = Framing::kRtu;
  bool own = true;        ///< nobody else can be on it: no listening before talking
  bool is_serial = true;  ///< speed and parity are this machine's to set
  /// How long the adapter holds octets back, where the system says it.
  std::optional<protocol::base::Duration> adapter_latency;
};

/// Opens a serial or TCP link; `board` settles what a serial link's text leaves out.
/// Precondition: `link` is a SerialLink or a TcpLink.
/// Errors   those of SerialHandle::open() and connect_to().
[[nodiscard]] Result<Transport> open_transport(const LinkUrl& link, const LineSettings& board,
                                               Deadline deadline, const CancelToken& cancel);

/// The name by which a device is found again when it comes back: `path` where it is a link that somebody
/// made, else its /dev/serial/by-id/… where it has one, else `path`.
[[nodiscard]] std::string stable_name(const std::string& path, const SystemRoots& roots = {});

/// Waits for `span`. Errors   kCancelled; kOutOfTime when `deadline` comes first.
[[nodiscard]] Result<void> pause(protocol::base::Duration span, Deadline deadline, const CancelToken& cancel);

}  // namespace host::link
