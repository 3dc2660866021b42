#include "host/link/tcp_connect.hpp"

#include <csignal>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/session.hpp"
#include "tests/host/link/pty.hpp"
#include "tests/host/link/tcp_unit.hpp"

using namespace host::link;
using protocol::base::milliseconds;

namespace {

Result<Session> open(const std::string& text) {
  const auto link = parse_link(text);
  REQUIRE(link.has_value());
  static const CancelToken kNever;
  return Session::open(*link, {}, Deadline::after(milliseconds(10'000)), kNever);
}

}  // namespace

TEST_SUITE("host/link/tcp_connect") {
  TEST_CASE("an address that is none is 66 without a look-up") {
    const auto session = open("tcp://[fe80::1%nosuchif0]:4001");
    REQUIRE_FALSE(session.has_value());
    CHECK(session.error().fault == Fault::kHostUnknown);
    CHECK(session.error().exit_code == 66);
  }

  // RFC 4007, 11: an address of a link means nothing without its zone. The system's own word for it is
  // 'Invalid argument', which used to be all that was said.
  TEST_CASE("a link's own address without its interface is 66 and names what is missing") {
    for (const std::string address : {"fe80::1", "FEBF:0::1"}) {
      const auto session = open("mbtcp://[" + address + "]");
      REQUIRE_FALSE(session.has_value());
      CHECK(session.error().exit_code == 66);
      CHECK(contains(session.error().message, "[" + address + "] lacks its %interface"));
      CHECK(contains(session.error().remedy, "[" + address + "%eth0]"));
    }
  }

  TEST_CASE("a host that takes no connection ends with the deadline, and a signal ends the wait") {
    // Nobody accepts and the queue of one is full, so that loopback too leaves a connection unanswered.
    const Listener listener{false, 0};
    std::vector<int> queued;
    for (int i = 0; i < 8; ++i) {
      const int fd = ::socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
      sockaddr_in address{};
      address.sin_family = AF_INET;
      address.sin_port = htons(listener.port);
      address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
      (void)::connect(fd, reinterpret_cast<const sockaddr*>(&address), sizeof address);
      queued.push_back(fd);
    }
    const TcpLink link{"127.0.0.1", listener.port, Framing::kRtu, true};
    CancelToken cancel;
    const auto late = connect_to(link, Deadline::after(milliseconds(150)), cancel);
    REQUIRE_FALSE(late.has_value());
    CHECK(late.error().fault == Fault::kUnreachable);
    CHECK(late.error().exit_code == 69);
    std::thread signal{[&] {
      ::usleep(50'000);
      cancel.cancel(SIGINT);
    }};
    const auto stopped = connect_to(link, Deadline::after(milliseconds(60'000)), cancel);
    signal.join();
    REQUIRE_FALSE(stopped.has_value());
    CHECK(stopped.error().exit_code == 130);
    for (const int fd : queued) {
      (void)::close(fd);
    }
  }
}
