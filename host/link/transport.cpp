#include "host/link/transport.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

#include <poll.h>

#include "host/link/endpoint.hpp"
#include "host/link/serial_handle.hpp"
#include "host/link/stream_port.hpp"
#include "host/link/tcp_connect.hpp"

namespace host::link {

namespace {

Transport over(std::unique_ptr<Endpoint> endpoint, Transport transport) {
  transport.port = std::make_unique<StreamPort>(std::move(endpoint));
  return transport;
}

}  // namespace

Result<Transport> open_transport(const LinkUrl& link, const LineSettings& board, Deadline deadline,
                                 const CancelToken& cancel) {
  Transport transport;
  transport.line = board;
  if (const auto* tcp = std::get_if<TcpLink>(&link.target)) {
    auto endpoint = connect_to(*tcp, deadline, cancel);
    if (!endpoint) {
      return tl::unexpected{endpoint.error()};
    }
    transport.framing = tcp->framing;
    transport.own = tcp->own;
    transport.is_serial = false;
    return over(std::move(*endpoint), std::move(transport));
  }
  const auto& serial = std::get<SerialLink>(link.target);
  transport.line = settled(serial, board);
  transport.own = serial.own;
  auto handle = SerialHandle::open(serial.path, transport.line, serial.rs485);
  if (!handle) {
    return tl::unexpected{handle.error()};
  }
  transport.adapter_latency = adapter_latency(serial.path);
  return over(serial_endpoint(std::move(*handle)), std::move(transport));
}

std::string stable_name(const std::string& path, const SystemRoots& roots) {
  std::error_code error;
  const std::string found = std::filesystem::is_symlink(path, error) ? path : by_id_name(path, roots);
  return found.empty() ? path : found;
}

Result<void> pause(protocol::base::Duration span, Deadline deadline, const CancelToken& cancel) {
  const auto until = std::min(monotonic_now() + span, deadline.at);
  while (!cancel.cancelled()) {
    const auto left = (until - monotonic_now()).count();
    if (left <= 0) {
      return until == deadline.at
                 ? Result<void>{failure(Fault::kOutOfTime, "the time for the command is over",
                                        "give more with --timeout")}
                 : Result<void>{};
    }
    pollfd end{cancel.fd(), POLLIN, 0};
    (void)::poll(&end, 1, static_cast<int>(left / 1000 + 1));
  }
  return tl::unexpected{cancelled_error(cancel)};
}

}  // namespace host::link
