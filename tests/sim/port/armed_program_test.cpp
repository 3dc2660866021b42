#include <csignal>
#include <string>

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
using tests::support::TemporaryFolder;
using Octets = std::vector<std::uint8_t>;

// Behind a header of Modbus/TCP: settings.arm 0420h, settings.brightness_permille 0401h. The word is the CRC
// of "SIM-000001", padded to sixteen octets, and the boot number, by a bitwise division in another language.
constexpr std::uint16_t kArm = 0x0420, kBrightness = 0x0401;
constexpr std::uint16_t kBoot1 = 0x6139, kBoot2 = 0x6079;

std::uint8_t high(std::uint16_t word) {
  return static_cast<std::uint8_t>(word >> 8);
}
std::uint8_t low(std::uint16_t word) {
  return static_cast<std::uint8_t>(word & 0xFFU);
}

// Function 06 answers what it was asked, or an exception.
bool writes(const SocketClient& client, std::uint16_t address, std::uint16_t word) {
  const Octets request{0, 1, 0, 0, 0, 6, 1, 0x06, high(address), low(address), high(word), low(word)};
  (void)client.send(request);
  const Octets head = client.receive(9);
  REQUIRE(head.size() == 9);
  return head[7] == 0x06 && client.receive(3).size() == 3;
}

int read(const SocketClient& client, std::uint16_t address) {
  (void)client.send(Octets{0, 2, 0, 0, 0, 6, 1, 0x03, high(address), low(address), 0, 1});
  const Octets answer = client.receive(11);
  return answer.size() == 11 ? answer[9] * 256 + answer[10] : -1;
}

// What function 06 answers over RTU or behind a header: 0, or the exception.
std::uint8_t answered(const SocketClient& client, bool mbtcp, std::uint16_t address, std::uint16_t word) {
  const Octets pdu{0x06, high(address), low(address), high(word), low(word)};
  const auto adu = protocol::rtu::seal(1, pdu);
  Octets request{adu.octets().begin(), adu.octets().end()};
  if (mbtcp) {
    request = {0, 1, 0, 0, 0, 6, 1};
    request.insert(request.end(), pdu.begin(), pdu.end());
  }
  (void)client.send(request);
  // An exception is three octets shorter; of an answer the rest is taken, too.
  const std::size_t before = mbtcp ? 7 : 1;
  const Octets head = client.receive(request.size() - 3);
  REQUIRE(head.size() == request.size() - 3);
  if (head[before] != 0x06) return head[before + 1];
  CHECK(client.receive(3).size() == 3);
  return 0;
}

Launch simulator(const TemporaryFolder& folder) {
  return {program_path("strapline-sim"),
          {"stop-display", "--mbtcp", "127.0.0.1:0", "--state", folder.path() + "/state", "--seed", "0",
           "--catalog", source_path("host/catalog")}};
}

}  // namespace

TEST_SUITE("sim/port/armed_program") {
  TEST_CASE("what was acknowledged is kept, though the program is killed at once") {
    const TemporaryFolder folder;
    {
      Running unit{simulator(folder)};
      REQUIRE(unit.wait_for("ready: "));
      const SocketClient client{ready_names(unit.err()).front()};
      CHECK_FALSE(writes(client, kBrightness, 333));
      REQUIRE(writes(client, kArm, kBoot1));
      REQUIRE(writes(client, kBrightness, 333));
      unit.signal(SIGKILL);
      (void)unit.finish();
    }
    Running again{simulator(folder)};
    REQUIRE(again.wait_for("ready: "));
    const SocketClient client{ready_names(again.err()).front()};
    CHECK(read(client, kBrightness) == 333);
    CHECK_FALSE(writes(client, kArm, kBoot1));  // another start
    CHECK(writes(client, kArm, kBoot2));
  }

  TEST_CASE("a client that goes takes its leave to write with it") {
    const TemporaryFolder folder;
    Running unit{simulator(folder)};
    REQUIRE(unit.wait_for("ready: "));
    const std::string name = ready_names(unit.err()).front();
    {
      const SocketClient client{name};
      REQUIRE(writes(client, kArm, kBoot1));
      CHECK(read(client, kArm) == kBoot1);
    }
    const SocketClient next{name};
    // Its going is seen in the same turn as what comes next, or before it.
    for (int i = 0; i < 1'000 && read(next, kArm) != 0; ++i) {
    }
    CHECK(read(next, kArm) == 0);
    CHECK_FALSE(writes(next, kBrightness, 333));
  }

  TEST_CASE("a client that has armed nothing writes nothing, and one that goes takes no other's leave") {
    for (const char* kind : {"--tcp", "--mbtcp"}) {
      CAPTURE(std::string{kind});
      const bool mbtcp = std::string{kind} == "--mbtcp";
      Running unit{{program_path("strapline-sim"),
                    {"stop-display", kind, "0", "--seed", "0", "--catalog", source_path("host/catalog")}}};
      REQUIRE(unit.wait_for("ready: "));
      const std::string name = ready_names(unit.err()).front();
      const SocketClient armed{name};
      const SocketClient other{name};
      REQUIRE(answered(armed, mbtcp, kArm, kBoot1) == 0);
      CHECK(answered(other, mbtcp, kBrightness, 333) == 0x04);
      {
        const SocketClient passing{name};
        CHECK(answered(passing, mbtcp, kBrightness, 333) == 0x04);
      }
      // Its going is seen before the second answer to the next one.
      const SocketClient next{name};
      CHECK(answered(next, mbtcp, kBrightness, 333) == 0x04);
      CHECK(answered(next, mbtcp, kBrightness, 333) == 0x04);
      CHECK(answered(armed, mbtcp, kBrightness, 333) == 0);
    }
  }
}
