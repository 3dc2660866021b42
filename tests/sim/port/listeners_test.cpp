#include <array>
#include <chrono>
#include <csignal>
#include <memory>
#include <string>
#include <thread>

#include <doctest/doctest.h>

#include "protocol/rtu/frame.hpp"
#include "tests/sim/port/socket_client.hpp"
#include "tests/support/run_program.hpp"

namespace {

using tests::sim::port::ready_names;
using tests::sim::port::SocketClient;
using tests::support::Launch;
using tests::support::program_path;
using tests::support::Running;
using tests::support::source_path;
using Octets = std::vector<std::uint8_t>;

Launch simulator(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), "stop-display");
  arguments.insert(arguments.end(), {"--seed", "0", "--catalog", source_path("host/catalog")});
  return {program_path("strapline-sim"), std::move(arguments)};
}

// A simulator under way, and where it listens.
struct Sim {
  explicit Sim(std::vector<std::string> arguments, std::size_t ports)
      : running{simulator(std::move(arguments))} {
    REQUIRE(running.wait_for("ready: "));
    names = ready_names(running.err());
    REQUIRE(names.size() == ports);
  }
  Running running;
  std::vector<std::string> names;
};

// rails.panel_selected_mv at 147h, 12000 mV = 2EE0h: program_test.cpp.
const Octets kRtuRequest{0x01, 0x04, 0x01, 0x47, 0x00, 0x01, 0x80, 0x23};
const Octets kRtuAnswer{0x01, 0x04, 0x02, 0x2E, 0xE0, 0xA5, 0x18};

// The same behind a header: transaction, protocol 0, length, unit. Source  MODBUS Messaging on TCP/IP
// V1.0b, 3.1.3.
Octets mbap(std::uint8_t transaction, std::uint8_t unit, const Octets& pdu) {
  Octets all{0x00, transaction, 0x00, 0x00, 0x00, static_cast<std::uint8_t>(pdu.size() + 1), unit};
  all.insert(all.end(), pdu.begin(), pdu.end());
  return all;
}
const Octets kPdu{0x04, 0x01, 0x47, 0x00, 0x01};
const Octets kAnswerPdu{0x04, 0x02, 0x2E, 0xE0};

}  // namespace

TEST_SUITE("sim/port/listeners") {
  TEST_CASE("RTU over TCP answers a request whole, octet by octet, and behind garbage") {
    const Sim sim{{"--tcp", "0"}, 1};
    CHECK(sim.names[0].starts_with("tcp://127.0.0.1:"));
    const SocketClient client{sim.names[0]};
    client.send(kRtuRequest);
    CHECK(client.receive(7) == kRtuAnswer);
    for (const std::uint8_t octet : kRtuRequest) client.send(Octets{octet});
    CHECK(client.receive(7) == kRtuAnswer);
    client.send(Octets{0xFF, 0x55, 0x00});
    CHECK(client.receive(1).empty());
    client.send(kRtuRequest);
    CHECK(client.receive(7) == kRtuAnswer);
  }

  TEST_CASE("clients of one listener never get each other's answers, also while one has said half") {
    const Sim sim{{"--tcp", "0"}, 1};
    const SocketClient half{sim.names[0]};
    half.send(Octets{0x01, 0x04, 0x01});
    std::vector<std::unique_ptr<SocketClient>> clients;
    clients.reserve(8);
    for (int i = 0; i < 8; ++i) clients.push_back(std::make_unique<SocketClient>(sim.names[0]));
    // Each sends 08/00 with a word of its own, and gets that word back.
    const auto own = [](std::size_t i) {
      const auto adu =
          protocol::rtu::seal(1, std::array<std::uint8_t, 5>{8, 0, 0, 0xA5, static_cast<std::uint8_t>(i)});
      return Octets{adu.octets().begin(), adu.octets().end()};
    };
    for (std::size_t i = 0; i < clients.size(); ++i) clients[i]->send(own(i));
    for (std::size_t i = 0; i < clients.size(); ++i) CHECK(clients[i]->receive(8) == own(i));
    CHECK(clients.front()->receive(1).empty());
  }

  TEST_CASE("Modbus/TCP answers by transaction, several questions in one segment and one in several") {
    const Sim sim{{"--mbtcp", "[::1]:0"}, 1};
    CHECK(sim.names[0].starts_with("mbtcp://[::1]:"));
    const SocketClient client{sim.names[0]};
    Octets three = mbap(1, 1, kPdu);
    const Octets second = mbap(2, 0xFF, kPdu);
    const Octets third = mbap(3, 0, kPdu);
    three.insert(three.end(), second.begin(), second.end());
    three.insert(three.end(), third.begin(), third.end());
    client.send(three);
    CHECK(client.receive(11) == mbap(1, 1, kAnswerPdu));
    CHECK(client.receive(11) == mbap(2, 0xFF, kAnswerPdu));
    CHECK(client.receive(11) == mbap(3, 0, kAnswerPdu));
    for (const std::uint8_t octet : mbap(4, 1, kPdu)) client.send(Octets{octet});
    CHECK(client.receive(11) == mbap(4, 1, kAnswerPdu));
    // No such unit behind the gateway: exception 0B. Source  the same guide, 4.4.1.2.
    client.send(mbap(5, 9, kPdu));
    CHECK(client.receive(9) == mbap(5, 9, {0x84, 0x0B}));
    // No such address: exception 02.
    client.send(mbap(6, 1, {0x04, 0x0F, 0x00, 0x00, 0x01}));
    CHECK(client.receive(9) == mbap(6, 1, {0x84, 0x02}));
  }

  TEST_CASE("a length that can't be ends that connection alone") {
    const Sim sim{{"--mbtcp", "0"}, 1};
    const SocketClient good{sim.names[0]};
    const SocketClient bad{sim.names[0]};
    bad.send(Octets{0, 1, 0, 0, 0xFF, 0xFF, 1, 4});
    CHECK(bad.closes());
    good.send(mbap(1, 1, kPdu));
    CHECK(good.receive(11) == mbap(1, 1, kAnswerPdu));
  }

  TEST_CASE("a client that floods and takes nothing is dropped, and the others are answered meanwhile") {
    for (const char* kind : {"--tcp", "--mbtcp"}) {
      CAPTURE(std::string{kind});
      const bool mbtcp = std::string{kind} == "--mbtcp";
      Sim sim{{kind, "0"}, 1};
      const SocketClient flood{sim.names[0]};
      const SocketClient good{sim.names[0]};
      const Octets request = mbtcp ? mbap(1, 1, {0x04, 0x01, 0x40, 0x00, 0x7D}) : kRtuRequest;
      Octets many;
      for (int i = 0; i < 500; ++i) many.insert(many.end(), request.begin(), request.end());
      std::size_t sent = 0;
      for (int i = 0; i < 400; ++i) {
        sent += flood.send(many);
        if (i % 40 != 0) continue;
        good.send(mbtcp ? mbap(7, 1, kPdu) : kRtuRequest);
        CHECK(good.receive(mbtcp ? 11 : 7) == (mbtcp ? mbap(7, 1, kAnswerPdu) : kRtuAnswer));
      }
      CHECK(sent > 100'000);
      sim.running.signal(SIGTERM);
      CHECK(sim.running.finish().exit_code == 143);
    }
  }

  TEST_CASE("more clients than there is room for are turned away while all others wait for answers") {
    for (const char* kind : {"--tcp", "--mbtcp"}) {
      CAPTURE(std::string{kind});
      const bool mbtcp = std::string{kind} == "--mbtcp";
      Sim sim{{kind, "0", "--turnaround", "60 s"}, 1};
      std::vector<std::unique_ptr<SocketClient>> clients;
      clients.reserve(32);
      for (int i = 0; i < 32; ++i) {
        clients.push_back(std::make_unique<SocketClient>(sim.names[0]));
        clients.back()->send(mbtcp ? mbap(1, 1, kPdu) : kRtuRequest);
      }
      const SocketClient late{sim.names[0]};
      CHECK(late.closes());
      sim.running.signal(SIGTERM);
      CHECK(sim.running.finish().err.find("line: 1 clients turned away") != std::string::npos);
    }
  }

  TEST_CASE("clients that say nothing keep nobody out for long, nor do those that have gone") {
    for (const bool stay : {true, false}) {
      CAPTURE(stay);
      const Sim sim{{"--mbtcp", "0"}, 1};
      std::vector<std::unique_ptr<SocketClient>> clients;
      clients.reserve(32);
      for (int i = 0; i < 32; ++i) clients.push_back(std::make_unique<SocketClient>(sim.names[0]));
      if (!stay) clients.clear();
      Octets got;
      for (int i = 0; i < 500 && got.empty(); ++i) {
        if (i > 0) std::this_thread::sleep_for(std::chrono::milliseconds{20});
        const SocketClient again{sim.names[0]};
        again.send(mbap(2, 1, kPdu));
        got = again.receive(11);
      }
      CHECK(got == mbap(2, 1, kAnswerPdu));
    }
  }

  TEST_CASE("many units on a line and many lines in a program: each has its number and its address") {
    const Sim sim{{"--mbtcp", "0", "--mbtcp", "0", "--units", "3", "--serial-number", "T-009"}, 2};
    for (std::size_t port = 0; port < 2; ++port) {
      const SocketClient client{sim.names[port]};
      for (std::uint8_t unit = 1; unit <= 3; ++unit) {
        client.send(mbap(unit, unit, {0x04, 0x00, 0x00, 0x00, 0x03}));
        const Octets got = client.receive(7 + 2 + 6);
        REQUIRE(got.size() == 15);
        const std::string text(got.begin() + 9, got.begin() + 15);
        const auto n = std::to_string(9 + port * 3 + unit - 1);
        CHECK(text.substr(0, 5) == "T-" + std::string(3 - n.size(), '0') + n);
      }
    }
  }

  TEST_CASE("an address that is taken ends 74, one that can't be read 64, a host that isn't 66") {
    const Sim sim{{"--mbtcp", "0"}, 1};
    const std::string taken = sim.names[0].substr(sim.names[0].find("127"));
    CHECK(tests::support::run(simulator({"--mbtcp", taken})).exit_code == 74);
    CHECK(tests::support::run(simulator({"--tcp", "::1:502"})).exit_code == 64);
    CHECK(tests::support::run(simulator({"--tcp", "no.such.host.invalid:502"})).exit_code == 66);
    CHECK(tests::support::run(simulator({"--serial", "/dev/no-such-port"})).exit_code == 66);
    CHECK(tests::support::run(simulator({"--serial", "/dev/null"})).exit_code == 74);
  }
}
