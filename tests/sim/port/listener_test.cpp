#include "sim/port/listener.hpp"

#include <doctest/doctest.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

#include "tests/sim/port/socket_client.hpp"

using sim::port::HostPort;
using sim::port::Listener;
using sim::port::parse_host_port;

namespace {

int option(int fd, int level, int name) {
  int value = 0;
  socklen_t size = sizeof value;
  return ::getsockopt(fd, level, name, &value, &size) == 0 ? value : -1;
}

}  // namespace

TEST_SUITE("sim/port/listener") {
  TEST_CASE("a port alone is this machine's, an address of either kind what it says") {
    CHECK(*parse_host_port("502") == HostPort{"127.0.0.1", "502"});
    CHECK(*parse_host_port(":0") == HostPort{"127.0.0.1", "0"});
    CHECK(*parse_host_port("0.0.0.0:1502") == HostPort{"0.0.0.0", "1502"});
    CHECK(*parse_host_port("localhost:1502") == HostPort{"localhost", "1502"});
    CHECK(*parse_host_port("[::1]:1502") == HostPort{"::1", "1502"});
  }

  TEST_CASE("what is no address says what is") {
    for (const char* bad : {"", "x", ":", "host:", "host:x", "host:65536", "::1:502", "[::1]", "[]:502",
                            "[::1]502", "-1", "1 ", "host:5:6"}) {
      CAPTURE(std::string{bad});
      const auto parts = parse_host_port(bad);
      REQUIRE_FALSE(parts);
      CHECK(parts.error().find("[::1]:PORT") != std::string::npos);
    }
  }

  TEST_CASE("a client's socket waits for nothing more to send, and asks whether a silent client is there") {
    sim::port::Loop loop;
    int taken = -1;
    const auto listener = Listener::make("0", loop, [&taken](int fd) { taken = fd; });
    REQUIRE(listener);
    const tests::sim::port::SocketClient client{"tcp://" + (*listener)->address()};
    REQUIRE(loop.wait(protocol::base::milliseconds(5'000)));
    REQUIRE(taken >= 0);
    CHECK(option(taken, IPPROTO_TCP, TCP_NODELAY) == 1);
    CHECK(option(taken, SOL_SOCKET, SO_KEEPALIVE) == 1);
    CHECK(option(taken, IPPROTO_TCP, TCP_KEEPIDLE) +
              option(taken, IPPROTO_TCP, TCP_KEEPCNT) * option(taken, IPPROTO_TCP, TCP_KEEPINTVL) ==
          90);
    ::close(taken);
  }
}
