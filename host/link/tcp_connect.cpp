#include "host/link/tcp_connect.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <thread>
#include <utility>
#include <vector>

#include <fmt/core.h>
#include <netdb.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/eventfd.h>
#include <sys/socket.h>
#include <unistd.h>

namespace host::link {

namespace {

using protocol::base::Instant;

class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_{fd} {}
  ~Descriptor() {
    if (fd_ >= 0) {
      (void)::close(fd_);
    }
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;

  [[nodiscard]] int get() const { return fd_; }
  [[nodiscard]] int release() { return std::exchange(fd_, -1); }

 private:
  int fd_;
};

struct Address {
  sockaddr_storage storage{};
  socklen_t size = 0;
};

/// What a look-up found. Shared with the thread that looks, which may outlive who waits.
struct Found {
  Descriptor done{::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK)};
  std::vector<Address> addresses;
  int error = 0;
};

tl::unexpected<LinkError> broken(const TcpLink& link, Fault fault, std::string message, std::string remedy) {
  LinkError error = link_error(fault, std::move(message), std::move(remedy));
  error.port = to_text(link);
  return tl::unexpected{std::move(error)};
}

tl::unexpected<LinkError> out_of_time(const TcpLink& link) {
  return broken(link, Fault::kUnreachable, fmt::format("{} did not answer in time", to_text(link)),
                "look whether the host is on and on this network, and whether a firewall is between");
}

void look_up(const std::string& host, std::uint16_t port, int flags, Found& found) {
  addrinfo wanted{};
  wanted.ai_family = AF_UNSPEC;
  wanted.ai_socktype = SOCK_STREAM;
  wanted.ai_flags = flags | AI_NUMERICSERV;
  addrinfo* first = nullptr;
  found.error = ::getaddrinfo(host.c_str(), std::to_string(port).c_str(), &wanted, &first);
  if (found.error != 0) {
    return;
  }
  for (const addrinfo* at = first; at != nullptr; at = at->ai_next) {
    Address address;
    if (at->ai_addrlen <= sizeof address.storage) {
      std::memcpy(&address.storage, at->ai_addr, at->ai_addrlen);
      address.size = at->ai_addrlen;
      found.addresses.push_back(address);
    }
  }
  ::freeaddrinfo(first);
}

// Every interface has addresses of this kind, and the system takes none without knowing whose it is.
bool lacks_interface(const Address& address) {
  const auto& in6 = reinterpret_cast<const sockaddr_in6&>(address.storage);
  return address.storage.ss_family == AF_INET6 && IN6_IS_ADDR_LINKLOCAL(&in6.sin6_addr) &&
         in6.sin6_scope_id == 0;
}

/// Waits until `fd` is ready for `events`. False at `until`.
Result<bool> wait_for(int fd, short events, Instant until, const CancelToken& cancel) {
  while (true) {
    if (cancel.cancelled()) {
      return tl::unexpected{cancelled_error(cancel)};
    }
    const auto left = (until - monotonic_now()).count();
    if (left <= 0) {
      return false;
    }
    std::array<pollfd, 2> ends{pollfd{fd, events, 0}, pollfd{cancel.fd(), POLLIN, 0}};
    const int ready =
        ::poll(ends.data(), ends.size(), static_cast<int>(std::min<std::int64_t>(left / 1000 + 1, 60'000)));
    if (ready < 0 && errno != EINTR) {
      return failure(Fault::kPortFailed, fmt::format("can't wait for a connection: {}", std::strerror(errno)),
                     "raise the limit of open files, or end what holds them");
    }
    if (ready > 0 && ends[0].revents != 0) {
      return true;
    }
  }
}

Result<std::vector<Address>> addresses_of(const TcpLink& link, Deadline deadline, const CancelToken& cancel) {
  Found literal;
  look_up(link.host, link.port, AI_NUMERICHOST, literal);
  if (literal.error == 0) {
    if (std::any_of(literal.addresses.begin(), literal.addresses.end(), lacks_interface)) {
      return broken(
          link, Fault::kHostUnknown,
          fmt::format("[{}] lacks its %interface: every network has such an address", link.host),
          fmt::format("write the interface behind it, as in [{}%eth0]; `ip link` lists them", link.host));
    }
    return std::move(literal.addresses);
  }
  if (link.host.find(':') != std::string::npos) {
    return broken(link, Fault::kHostUnknown,
                  fmt::format("[{}] is no IPv6 address of this machine's networks", link.host),
                  "check the address, and the interface behind %");
  }
  // The system's look-up can't be given a deadline; it is left to a thread that nobody has to wait for.
  const auto found = std::make_shared<Found>();
  if (found->done.get() < 0) {
    return broken(link, Fault::kPortFailed,
                  fmt::format("can't look up {}: {}", link.host, std::strerror(errno)),
                  "raise the limit of open files, or end what holds them");
  }
  try {
    std::thread{[found, host = link.host, port = link.port] {
      look_up(host, port, 0, *found);
      const std::uint64_t one = 1;
      (void)!::write(found->done.get(), &one, sizeof one);
    }}.detach();
  } catch (const std::system_error& error) {
    return broken(link, Fault::kPortFailed, fmt::format("can't look up {}: {}", link.host, error.what()),
                  "give the host's address in figures");
  }
  const auto done = wait_for(found->done.get(), POLLIN, deadline.at, cancel);
  if (!done) {
    return tl::unexpected{done.error()};
  }
  if (!*done || found->error == EAI_AGAIN) {
    return broken(link, Fault::kHostUnknown, fmt::format("nobody says in time where host {} is", link.host),
                  "look at the network's name service, or give the host's address in figures");
  }
  if (found->error != 0) {
    return broken(link, Fault::kHostUnknown,
                  fmt::format("there is no host {} ({})", link.host, ::gai_strerror(found->error)),
                  "check the name, or give the host's address in figures");
  }
  return std::move(found->addresses);
}

Result<std::unique_ptr<Endpoint>> connect_error(const TcpLink& link, int error) {
  const std::string what = fmt::format("{} can't be reached: {}", to_text(link), std::strerror(error));
  switch (error) {
    case ECONNREFUSED:
      return broken(link, Fault::kConnectionRefused,
                    fmt::format("nothing listens at {}: the connection was refused", to_text(link)),
                    "check the port, and that the program or device server there is running");
    case ETIMEDOUT:
    case EHOSTUNREACH:
    case EHOSTDOWN:
    case ENETUNREACH:
    case ENETDOWN:
    case EADDRNOTAVAIL:
    case EAFNOSUPPORT:
      return broken(link, Fault::kUnreachable, what,
                    "look whether the host is on and on this network, and whether a firewall is between");
    case ECONNRESET:
      return broken(link, Fault::kGone, what, "look whether it takes only one client at a time");
    case EACCES:
    case EPERM: return broken(link, Fault::kNoRights, what, "look at this machine's firewall");
    default: break;
  }
  return broken(link, Fault::kPortFailed, what, "look at the system's log");
}

Result<std::unique_ptr<Endpoint>> connect_one(const TcpLink& link, const Address& address, Deadline deadline,
                                              const CancelToken& cancel) {
  Descriptor socket{::socket(address.storage.ss_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0)};
  if (socket.get() < 0) {
    return connect_error(link, errno);
  }
  const int on = 1;
  const int off = 0;
  (void)::setsockopt(socket.get(), IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
  (void)::setsockopt(socket.get(), SOL_SOCKET, SO_KEEPALIVE, &off, sizeof off);
  sockaddr_storage target = address.storage;
  if (::connect(socket.get(), reinterpret_cast<const sockaddr*>(&target), address.size) != 0) {
    if (errno != EINPROGRESS && errno != EINTR) {
      return connect_error(link, errno);
    }
    const auto connected =
        wait_for(socket.get(), POLLOUT, std::min(deadline.at, monotonic_now() + kConnectMax), cancel);
    if (!connected) {
      return tl::unexpected{connected.error()};
    }
    if (!*connected) {
      return out_of_time(link);
    }
    int error = 0;
    socklen_t size = sizeof error;
    if (::getsockopt(socket.get(), SOL_SOCKET, SO_ERROR, &error, &size) != 0) {
      error = errno;
    }
    if (error != 0) {
      return connect_error(link, error);
    }
  }
  return socket_endpoint(socket.release(), to_text(link));
}

}  // namespace

std::string to_text(const TcpLink& link) {
  const bool literal_v6 = link.host.find(':') != std::string::npos;
  return fmt::format("{}://{}{}{}:{}", link.framing == Framing::kRtu ? "tcp" : "mbtcp", literal_v6 ? "[" : "",
                     link.host, literal_v6 ? "]" : "", link.port);
}

Result<std::unique_ptr<Endpoint>> connect_to(const TcpLink& link, Deadline deadline,
                                             const CancelToken& cancel) {
  const auto addresses = addresses_of(link, deadline, cancel);
  if (!addresses) {
    return tl::unexpected{addresses.error()};
  }
  Result<std::unique_ptr<Endpoint>> made = out_of_time(link);
  for (const Address& address : *addresses) {
    made = connect_one(link, address, deadline, cancel);
    if (made || made.error().fault == Fault::kCancelled) {
      break;
    }
  }
  return made;
}

}  // namespace host::link
