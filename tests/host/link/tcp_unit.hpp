#pragma once

#include <atomic>
#include <csignal>
#include <cstdint>
#include <functional>
#include <string>
#include <thread>
#include <vector>

#include <arpa/inet.h>
#include <doctest/doctest.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include "host/link/cancel.hpp"
#include "protocol/mbap/decoder.hpp"
#include "protocol/session/answer.hpp"
#include "protocol/session/server.hpp"
#include "tests/host/link/known_device.hpp"

/// A socket that listens on loopback, at a port the system chose.
struct Listener {
  explicit Listener(bool v6 = false, int backlog = 4)
      : fd{::socket(v6 ? AF_INET6 : AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)} {
    REQUIRE(fd >= 0);
    sockaddr_storage address{};
    socklen_t size = 0;
    if (v6) {
      auto& in6 = reinterpret_cast<sockaddr_in6&>(address);
      in6.sin6_family = AF_INET6;
      in6.sin6_addr = in6addr_loopback;
      size = sizeof in6;
    } else {
      auto& in = reinterpret_cast<sockaddr_in&>(address);
      in.sin_family = AF_INET;
      in.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
      size = sizeof in;
    }
    REQUIRE(::bind(fd, reinterpret_cast<sockaddr*>(&address), size) == 0);
    REQUIRE(::listen(fd, backlog) == 0);
    REQUIRE(::getsockname(fd, reinterpret_cast<sockaddr*>(&address), &size) == 0);
    port = ntohs(v6 ? reinterpret_cast<sockaddr_in6&>(address).sin6_port
                    : reinterpret_cast<sockaddr_in&>(address).sin_port);
  }
  ~Listener() { close(); }
  Listener(const Listener&) = delete;
  Listener& operator=(const Listener&) = delete;

  void close() {
    if (fd >= 0) {
      (void)::close(fd);
      fd = -1;
    }
  }

  int fd;
  std::uint16_t port = 0;
};

/// Answers one client after the other in a thread of its own: `serve` is given each connection and returns
/// when it is done with it, or when `done` is.
class TcpUnit {
 public:
  using Serve = std::function<void(int connection, const host::link::CancelToken& done)>;

  explicit TcpUnit(Serve serve, bool v6 = false) : listener_{v6}, serve_{std::move(serve)} {
    thread_ = std::thread{[this] { run(); }};
  }
  ~TcpUnit() {
    done_.cancel(SIGTERM);
    thread_.join();
  }
  TcpUnit(const TcpUnit&) = delete;
  TcpUnit& operator=(const TcpUnit&) = delete;

  [[nodiscard]] std::string port() const { return std::to_string(listener_.port); }
  [[nodiscard]] int clients() const { return clients_; }

 private:
  void run() {
    while (!done_.cancelled()) {
      pollfd ends[2]{{listener_.fd, POLLIN, 0}, {done_.fd(), POLLIN, 0}};
      if (::poll(ends, 2, -1) < 0 || ends[1].revents != 0) {
        return;
      }
      const int connection = ::accept4(listener_.fd, nullptr, nullptr, SOCK_CLOEXEC);
      if (connection >= 0) {
        ++clients_;
        const int on = 1;
        (void)::setsockopt(connection, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
        serve_(connection, done_);
        (void)::close(connection);
      }
    }
  }

  Listener listener_;
  Serve serve_;
  host::link::CancelToken done_;
  std::atomic<int> clients_{0};
  std::thread thread_;
};

/// Octets of a connection, or a terminal, until it ends, `done` is, or `handle` returns false.
inline void each_read(int connection, const host::link::CancelToken& done,
                      const std::function<bool(protocol::base::Octets)>& handle) {
  while (true) {
    pollfd ends[2]{{connection, POLLIN, 0}, {done.fd(), POLLIN, 0}};
    if (::poll(ends, 2, -1) < 0 || ends[1].revents != 0) {
      return;
    }
    std::uint8_t octets[512];
    const ssize_t got = ::read(connection, octets, sizeof octets);
    if (got <= 0 || !handle({octets, static_cast<std::size_t>(got)})) {
      return;
    }
  }
}

inline void send_all(int connection, protocol::base::Octets octets) {
  (void)!::send(connection, octets.data(), octets.size(), MSG_NOSIGNAL);
}

/// A unit on Modbus/TCP; `send` puts a sealed answer on the connection.
inline TcpUnit::Serve mbap_unit(std::function<void(int, const protocol::mbap::Adu&)> send) {
  return [send = std::move(send)](int connection, const host::link::CancelToken& done) {
    KnownDevice device;
    protocol::mbap::Decoder decoder;
    each_read(connection, done, [&](protocol::base::Octets octets) {
      while (!octets.empty()) {
        if (decoder.push(octets) == protocol::mbap::Decoder::Outcome::kFrame) {
          const auto frame = decoder.frame();
          const auto answer = protocol::session::answer(frame.pdu, device);
          send(connection, protocol::mbap::seal(frame.transaction, frame.unit, answer.octets()));
        }
      }
      return true;
    });
  };
}

/// A unit whose RTU frames are carried over TCP as they are.
inline TcpUnit::Serve rtu_unit() {
  return [](int connection, const host::link::CancelToken& done) {
    KnownDevice device;
    std::vector<std::uint8_t> held;
    each_read(connection, done, [&](protocol::base::Octets octets) {
      held.insert(held.end(), octets.begin(), octets.end());
      const auto length = protocol::rtu::request_length(held);
      if (length.kind == protocol::pdu::Length::Kind::kKnown && held.size() >= length.octets) {
        const auto answer = protocol::session::answer(
            protocol::rtu::pdu_of(protocol::base::Octets{held}.first(length.octets)), device);
        // In two pieces, as TCP may have it.
        const auto adu = protocol::rtu::seal(held[0], answer.octets());
        send_all(connection, adu.octets().first(3));
        send_all(connection, adu.octets().subspan(3));
        held.clear();
      }
      return true;
    });
  };
}
