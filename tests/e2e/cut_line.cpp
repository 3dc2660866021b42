#include "tests/e2e/cut_line.hpp"

#include <algorithm>
#include <array>
#include <stdexcept>
#include <utility>

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

namespace tests::e2e {
namespace {

constexpr int kLookMs = 20;  // for the wish to stop; octets are passed on at once

sockaddr_in loopback(std::uint16_t port) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  return address;
}

int connected(std::uint16_t port) {
  const int unit = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  const sockaddr_in address = loopback(port);
  if (unit >= 0 && connect(unit, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0)
    return unit;
  close(unit);
  return -1;
}

}  // namespace

CutLine::CutLine(std::string link, std::size_t octets_before_cut)
    : link_{std::move(link)}, left_{octets_before_cut} {
  const std::size_t colon = link_.rfind(':');
  unit_port_ = static_cast<std::uint16_t>(std::stoi(link_.substr(colon + 1)));
  listener_ = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in address = loopback(0);
  socklen_t size = sizeof address;
  auto* const place = reinterpret_cast<sockaddr*>(&address);
  if (bind(listener_, place, size) != 0 || listen(listener_, 2) != 0 ||
      getsockname(listener_, place, &size) != 0)
    throw std::runtime_error{"can't listen on loopback"};
  link_.replace(colon + 1, std::string::npos, std::to_string(ntohs(address.sin_port)));
  carrier_ = std::thread{[this] { carry(); }};
}

CutLine::~CutLine() {
  stop_ = true;
  carrier_.join();
  close(listener_);
}

void CutLine::carry() {
  int near = -1;
  int unit = -1;
  while (!stop_) {
    // Without a connection poll passes over the ends that are -1.
    std::array<pollfd, 3> ends{
        {{near < 0 ? listener_ : -1, POLLIN, 0}, {near, POLLIN, 0}, {unit, POLLIN, 0}}};
    if (poll(ends.data(), ends.size(), kLookMs) <= 0) continue;
    if (ends[0].revents != 0) {
      near = accept4(listener_, nullptr, nullptr, SOCK_CLOEXEC);
      unit = connected(unit_port_);
      ++connections_;
      continue;
    }
    if ((ends[1].revents != 0 && !pass(near, unit, false)) ||
        (ends[2].revents != 0 && !pass(unit, near, true))) {
      close(std::exchange(near, -1));
      close(std::exchange(unit, -1));
    }
  }
  close(near);
  close(unit);
}

// False when the connection is at its end.
bool CutLine::pass(int from, int to, bool is_answer) {
  std::array<std::uint8_t, 512> octets{};
  const ssize_t got = read(from, octets.data(), octets.size());
  if (got <= 0) return false;
  const auto come = static_cast<std::size_t>(got);
  const bool cuts = is_answer && connections_ == 1 && come > left_;
  const std::size_t passed = cuts ? left_ : come;
  if (is_answer) left_ -= std::min(left_, come);
  return send(to, octets.data(), passed, MSG_NOSIGNAL) == static_cast<ssize_t>(passed) && !cuts;
}

}  // namespace tests::e2e
