#include "tests/sim/port/socket_client.hpp"

#include <algorithm>
#include <array>
#include <cstring>

#include <arpa/inet.h>
#include <doctest/doctest.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

namespace tests::sim::port {
namespace {

int connected(int fd, const void* address, socklen_t size) {
  REQUIRE(fd >= 0);
  REQUIRE(::connect(fd, static_cast<const sockaddr*>(address), size) == 0);
  return fd;
}

int open(const std::string& name) {
  const std::size_t scheme = name.find("://");
  if (scheme == std::string::npos) {
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    REQUIRE(name.size() < sizeof address.sun_path);
    std::copy(name.begin(), name.end(), std::begin(address.sun_path));
    return connected(::socket(AF_UNIX, SOCK_STREAM, 0), &address, sizeof address);
  }
  const std::size_t colon = name.rfind(':');
  const auto port = static_cast<std::uint16_t>(std::stoi(name.substr(colon + 1)));
  if (name[scheme + 3] == '[') {
    sockaddr_in6 address{};
    address.sin6_family = AF_INET6;
    address.sin6_addr = in6addr_loopback;
    address.sin6_port = htons(port);
    return connected(::socket(AF_INET6, SOCK_STREAM, 0), &address, sizeof address);
  }
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  address.sin_port = htons(port);
  return connected(::socket(AF_INET, SOCK_STREAM, 0), &address, sizeof address);
}

}  // namespace

SocketClient::SocketClient(const std::string& name) : fd_{open(name)} {}

SocketClient::~SocketClient() {
  ::close(fd_);
}

std::size_t SocketClient::send(const std::vector<std::uint8_t>& octets) const {
  const ssize_t put = ::send(fd_, octets.data(), octets.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
  return put > 0 ? static_cast<std::size_t>(put) : 0;
}

void SocketClient::send(const std::string& text) const {
  REQUIRE(::send(fd_, text.data(), text.size(), MSG_NOSIGNAL) == static_cast<ssize_t>(text.size()));
}

void SocketClient::end() const {
  (void)::shutdown(fd_, SHUT_WR);
}

std::vector<std::uint8_t> SocketClient::receive(std::size_t enough) const {
  std::vector<std::uint8_t> got;
  pollfd wish{fd_, POLLIN, 0};
  while (got.size() < enough && ::poll(&wish, 1, 1'000) > 0) {
    std::array<std::uint8_t, 4'096> piece{};
    const ssize_t count = ::recv(fd_, piece.data(), std::min(piece.size(), enough - got.size()), 0);
    if (count <= 0) break;
    got.insert(got.end(), piece.begin(), piece.begin() + count);
  }
  return got;
}

std::string SocketClient::line() const {
  std::string text;
  for (auto octet = receive(1); !octet.empty() && octet[0] != '\n'; octet = receive(1)) {
    text += static_cast<char>(octet[0]);
  }
  return text;
}

std::string SocketClient::ask(const std::string& text) const {
  send(text + "\n");
  return line();
}

bool SocketClient::closes() const {
  pollfd wish{fd_, POLLIN, 0};
  for (int i = 0; i < 100'000 && ::poll(&wish, 1, 2'000) > 0; ++i) {
    std::array<std::uint8_t, 4'096> piece{};
    if (::recv(fd_, piece.data(), piece.size(), 0) <= 0) return true;
  }
  return false;
}

std::vector<std::string> ready_names(const std::string& err) {
  std::vector<std::string> names;
  constexpr std::string_view kReady = "ready: ";
  for (std::size_t at = err.find(kReady); at != std::string::npos; at = err.find(kReady, at)) {
    at += kReady.size();
    names.push_back(err.substr(at, err.find('\n', at) - at));
  }
  return names;
}

}  // namespace tests::sim::port
