#include "sim/port/listener.hpp"

#include <doctest/doctest.h>

using sim::port::HostPort;
using sim::port::parse_host_port;

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
}
