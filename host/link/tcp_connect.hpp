#pragma once

#include <memory>
#include <string>

#include "host/link/cancel.hpp"
#include "host/link/endpoint.hpp"
#include "host/link/url.hpp"

namespace host::link {

/// How long one address of a host is given to take a connection.
inline constexpr protocol::base::Duration kConnectMax = protocol::base::milliseconds(3000);

/// "tcp://[::1]:4001", as messages name a link.
[[nodiscard]] std::string to_text(const TcpLink& link);

/// Connects to `link`, its addresses one after the other, each for kConnectMax at most.
///
/// The socket sends at once (no delay) and keeps nothing alive by itself: whether the unit is there, its
/// answers tell. An address in figures is never looked up; looking up a name ends with the deadline too.
///
/// Errors   kHostUnknown (66); kConnectionRefused, kUnreachable (69); kPortFailed (74); kOutOfTime;
/// kCancelled.
[[nodiscard]] Result<std::unique_ptr<Endpoint>> connect_to(const TcpLink& link, Deadline deadline,
                                                           const CancelToken& cancel);

}  // namespace host::link
