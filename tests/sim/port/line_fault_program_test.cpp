#include <string>

#include <doctest/doctest.h>

#include "tests/sim/port/socket_client.hpp"
#include "tests/support/json_document.hpp"
#include "tests/support/run_program.hpp"

namespace {

using tests::sim::port::ready_names;
using tests::sim::port::SocketClient;
using tests::support::JsonDocument;
using tests::support::Launch;
using tests::support::program_path;
using tests::support::Running;
using tests::support::source_path;
using tests::support::TemporaryFolder;
using Octets = std::vector<std::uint8_t>;

// rails.panel_selected_mv at 147h: program_test.cpp. The same behind a header of Modbus/TCP.
const Octets kRtuRequest{0x01, 0x04, 0x01, 0x47, 0x00, 0x01, 0x80, 0x23};
const Octets kMbapRequest{0, 1, 0, 0, 0, 6, 1, 0x04, 0x01, 0x47, 0x00, 0x01};

Launch simulator(const TemporaryFolder& folder, const char* port) {
  return {program_path("strapline-sim"),
          {"stop-display", port, "127.0.0.1:0", "--control", folder.path() + "/control", "--seed", "0",
           "--catalog", source_path("host/catalog")}};
}

// How often the fault has acted, as --truth has it; -1 where it isn't there.
long hits(const SocketClient& hand, const std::string& fault) {
  const std::string line = hand.ask("truth");
  REQUIRE(line.starts_with("ok {"));
  const auto truth = JsonDocument::parse(line.substr(3));
  return truth["hits"].contains(fault) ? static_cast<long>(truth["hits"][fault].number()) : -1;
}

struct Row {
  std::string fault;
  std::size_t heard;  // octets of an answer of 7 that reach the host
};

}  // namespace

TEST_SUITE("sim/port/line_fault_program") {
  TEST_CASE("a fault of the line counts once a host has met it, and not before") {
    const TemporaryFolder folder;
    Running unit{simulator(folder, "--tcp")};
    REQUIRE(unit.wait_for("ready: "));
    const SocketClient hand{folder.path() + "/control"};
    const SocketClient client{ready_names(unit.err()).front()};
    // Silent, swapped or set otherwise: nothing comes back. Of two with one address both answer.
    for (const Row& row : {Row{"serial-silent", 0}, Row{"serial-swapped", 0},
                           Row{"serial-settings=9600-8N1", 0}, Row{"address-clash", 14}}) {
      CAPTURE(row.fault);
      REQUIRE(hand.ask("fault " + row.fault) == "ok fault " + row.fault);
      CHECK(hits(hand, row.fault) == 0);
      (void)client.send(kRtuRequest);
      CHECK(client.receive(15).size() == row.heard);
      CHECK(hits(hand, row.fault) > 0);
      REQUIRE(hand.ask("mend " + row.fault).starts_with("ok"));
      CHECK(hits(hand, row.fault) == -1);
      (void)client.send(kRtuRequest);
      CHECK(client.receive(8).size() == 7);
    }
  }

  TEST_CASE("behind a gateway it counts likewise") {
    const TemporaryFolder folder;
    Running unit{simulator(folder, "--mbtcp")};
    REQUIRE(unit.wait_for("ready: "));
    const SocketClient hand{folder.path() + "/control"};
    const SocketClient client{ready_names(unit.err()).front()};
    for (const std::string fault :
         {"serial-silent", "serial-swapped", "serial-settings=9600-8N1", "address-clash"}) {
      CAPTURE(fault);
      REQUIRE(hand.ask("fault " + fault) == "ok fault " + fault);
      CHECK(hits(hand, fault) == 0);
      (void)client.send(kMbapRequest);
      const Octets answer = client.receive(9);
      REQUIRE(answer.size() == 9);
      CHECK(answer[7] == 0x84);
      CHECK(answer[8] == 0x0B);  // the gateway's target doesn't answer
      CHECK(hits(hand, fault) == 1);
      REQUIRE(hand.ask("mend " + fault).starts_with("ok"));
    }
  }
}
