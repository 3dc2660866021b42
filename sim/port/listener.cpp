#include "sim/port/listener.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <cstring>

#include <netdb.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

namespace sim::port {
namespace {

constexpr int kUsage = 64;
constexpr int kNoInput = 66;
constexpr int kIoError = 74;
constexpr int kNoPermission = 77;
constexpr int kWaitingMax = 64;  // so that a burst of clients needn't knock again a second later
constexpr int kTakenAtOnce = 8;

tl::unexpected<Ending> refuse(int code, const std::string& where, const std::string& what) {
  return tl::unexpected(Ending{code, "strapline-sim: " + where + ": " + what + "\n"});
}

// Requests are small, and a client whose machine has gone is one no longer after a minute and a half.
void set_up(int client) {
  constexpr int kOn = 1;
  constexpr int kIdleSeconds = 60;
  constexpr int kProbes = 3;
  constexpr int kBetweenSeconds = 10;
  const auto set = [client](int level, int name, int value) {
    (void)::setsockopt(client, level, name, &value, sizeof value);
  };
  set(IPPROTO_TCP, TCP_NODELAY, kOn);
  set(SOL_SOCKET, SO_KEEPALIVE, kOn);
  set(IPPROTO_TCP, TCP_KEEPIDLE, kIdleSeconds);
  set(IPPROTO_TCP, TCP_KEEPCNT, kProbes);
  set(IPPROTO_TCP, TCP_KEEPINTVL, kBetweenSeconds);
}

std::string address_of(int fd) {
  sockaddr_storage address{};
  socklen_t size = sizeof address;
  std::array<char, NI_MAXHOST> host{};
  std::array<char, NI_MAXSERV> port{};
  auto* const generic =
      reinterpret_cast<sockaddr*>(&address);  // NOLINT(*-reinterpret-cast): as sockets want it
  if (::getsockname(fd, generic, &size) != 0 ||
      ::getnameinfo(generic, size, host.data(), host.size(), port.data(), port.size(),
                    NI_NUMERICHOST | NI_NUMERICSERV) != 0) {
    return "?";
  }
  const std::string name = host.data();
  return (name.find(':') == std::string::npos ? name : "[" + name + "]") + ":" + port.data();
}

}  // namespace

tl::expected<HostPort, std::string> parse_host_port(const std::string& text) {
  const auto bad = [&] {
    return tl::unexpected("\"" + text + "\" is no address; write PORT, HOST:PORT or [::1]:PORT");
  };
  HostPort parts{"127.0.0.1", text};
  if (text.starts_with('[')) {
    const std::size_t end = text.find("]:");
    if (end == std::string::npos || end == 1) return bad();
    parts = {text.substr(1, end - 1), text.substr(end + 2)};
  } else if (const std::size_t colon = text.find(':'); colon != std::string::npos) {
    if (text.find(':', colon + 1) != std::string::npos) return bad();
    if (colon > 0) parts.host = text.substr(0, colon);
    parts.port = text.substr(colon + 1);
  }
  std::uint16_t port = 0;
  const char* const end = parts.port.data() + parts.port.size();
  const auto [stop, error] = std::from_chars(parts.port.data(), end, port);
  if (parts.port.empty() || error != std::errc{} || stop != end) return bad();
  return parts;
}

Listener::Listener(int fd, Loop& loop, Taken taken)
    : fd_{fd}, loop_{loop}, taken_{std::move(taken)}, address_{address_of(fd)} {
  loop_.watch(fd_, Loop::Wish::kRead, [this] {
    for (int i = 0; i < kTakenAtOnce; ++i) {
      const auto client = loop_.accept(fd_);
      if (!client) return;
      set_up(*client);
      taken_(*client);
    }
  });
}

Listener::~Listener() {
  loop_.forget(fd_);
  ::close(fd_);
}

tl::expected<std::unique_ptr<Listener>, Ending> Listener::make(const std::string& where, Loop& loop,
                                                               Taken taken) {
  const auto parts = parse_host_port(where);
  if (!parts) return tl::unexpected(Ending{kUsage, "strapline-sim: " + parts.error() + "\n"});
  addrinfo wanted{};
  wanted.ai_socktype = SOCK_STREAM;
  wanted.ai_flags = AI_PASSIVE | AI_NUMERICSERV;
  addrinfo* found = nullptr;
  if (const int error = ::getaddrinfo(parts->host.c_str(), parts->port.c_str(), &wanted, &found);
      error != 0) {
    return refuse(kNoInput, where, ::gai_strerror(error));
  }
  int fd = -1;
  int error = 0;
  for (const addrinfo* one = found; one != nullptr && fd < 0; one = one->ai_next) {
    fd = ::socket(one->ai_family, one->ai_socktype | SOCK_NONBLOCK | SOCK_CLOEXEC, one->ai_protocol);
    if (fd < 0) {
      error = errno;
      continue;
    }
    const int on = 1;
    ::setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (::bind(fd, one->ai_addr, one->ai_addrlen) != 0 || ::listen(fd, kWaitingMax) != 0) {
      error = errno;
      ::close(fd);
      fd = -1;
    }
  }
  ::freeaddrinfo(found);
  if (fd < 0) {
    return refuse(error == EACCES ? kNoPermission : kIoError, where,
                  std::strerror(error));  // NOLINT(concurrency-mt-unsafe): one thread
  }
  return std::unique_ptr<Listener>{new Listener{fd, loop, std::move(taken)}};
}

}  // namespace sim::port
