#include "sim/port/clients.hpp"

#include <memory>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "tests/sim/port/socket_client.hpp"

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::milliseconds;
using sim::port::ClientsOutlet;
using tests::sim::port::SocketClient;

namespace {

using Octets = std::vector<std::uint8_t>;

// Behind a header, what any unit's function is answered with here: itself.
const Octets kRequest{0, 1, 0, 0, 0, 6, 1, 0x04, 0x01, 0x47, 0x00, 0x01};

// A Modbus/TCP listener under a clock that goes on when it is told to.
class Listening {
 public:
  explicit Listening(Duration turnaround = {}) {
    auto seat = std::make_unique<sim::port::Seat>();
    seat->answerer = {[](protocol::base::OctetSink, std::size_t size) { return size; }};
    seat->live_until = [](Instant) {};
    seat->answers = [] { return true; };
    seat->asked_by = seat->link_lost = [](sim::unit::Asker) {};
    seat->fault_acts = [](sim::line::Acted) {};
    seats_.push_back(std::move(seat));
    sim::line::BusSettings bus;
    bus.turnaround = turnaround;
    auto made = sim::port::make_mbtcp_outlet("0", {loop_, seats_, bus, [this] { return now_; }});
    REQUIRE(made);
    outlet_ = *std::move(made);
  }

  // A client that has been taken, or turned away.
  std::unique_ptr<SocketClient> connect() {
    auto client = std::make_unique<SocketClient>(outlet_->name());
    turn();
    return client;
  }
  std::vector<std::unique_ptr<SocketClient>> connect(std::size_t count) {
    std::vector<std::unique_ptr<SocketClient>> clients;
    clients.reserve(count);
    while (clients.size() < count) clients.push_back(connect());
    return clients;
  }
  void ask(const SocketClient& client) {
    client.send(kRequest);
    turn();
  }
  bool answers(const SocketClient& client) {
    ask(client);
    return client.receive(kRequest.size()) == kRequest;
  }
  void wait(Duration time) { now_ += time; }
  // What one descriptor's being ready brings about.
  void turn() {
    REQUIRE(loop_.wait(milliseconds(5'000)));
    if (const auto next = outlet_->next(); next && *next <= now_) outlet_->go_on();
  }
  [[nodiscard]] std::string name() const { return outlet_->name(); }
  [[nodiscard]] sim::port::OutletCounts counts() const { return outlet_->counts(); }

 private:
  sim::port::Loop loop_;
  sim::port::Seats seats_;
  Instant now_ = Instant{} + milliseconds(1'000);
  std::unique_ptr<sim::port::Outlet> outlet_;
};

}  // namespace

TEST_SUITE("sim/port/clients") {
  TEST_CASE("where there is no room, the client that has been idle for longest gives way to the next") {
    Listening listening;
    const auto clients = listening.connect(ClientsOutlet::kClientsMax);
    listening.wait(milliseconds(500));
    CHECK(listening.answers(*clients[0]));
    listening.wait(milliseconds(1'000));
    CHECK(listening.answers(*clients[2]));
    const auto next = listening.connect();
    CHECK(clients[1]->closes());
    CHECK(listening.answers(*next));
    CHECK(listening.answers(*clients[0]));
    CHECK(listening.counts().clients_idle == 1);
    CHECK(listening.counts().clients_refused == 0);
  }

  TEST_CASE("idle clients let in as many as come, one for one") {
    Listening listening;
    const auto idle = listening.connect(ClientsOutlet::kClientsMax);
    listening.wait(milliseconds(1'000));
    const auto next = listening.connect(ClientsOutlet::kClientsMax);
    for (const auto& client : idle) CHECK(client->closes());
    for (const auto& client : next) CHECK(listening.answers(*client));
    CHECK(listening.connect()->closes());
    CHECK(listening.counts().clients_refused == 1);
  }

  TEST_CASE("whoever came or said something within a second stays, and the next is turned away") {
    Listening listening;
    const auto clients = listening.connect(ClientsOutlet::kClientsMax);
    listening.wait(milliseconds(999));
    CHECK(listening.connect()->closes());
    for (const auto& client : clients) CHECK(listening.answers(*client));
    listening.wait(milliseconds(999));
    CHECK(listening.connect()->closes());
    for (const auto& client : clients) CHECK(listening.answers(*client));
    CHECK(listening.counts().clients_refused == 2);
    CHECK(listening.counts().clients_idle == 0);
  }

  TEST_CASE("whoever waits for an answer stays, however long, and for a second after it") {
    Listening listening{milliseconds(60'000)};
    const auto clients = listening.connect(ClientsOutlet::kClientsMax);
    for (const auto& client : clients) listening.ask(*client);
    listening.wait(milliseconds(59'999));
    CHECK(listening.connect()->closes());
    listening.wait(milliseconds(1));
    CHECK(listening.connect()->closes());  // the answers leave in the same turn, behind it
    listening.wait(milliseconds(999));
    CHECK(listening.connect()->closes());
    for (const auto& client : clients) CHECK(client->receive(kRequest.size()) == kRequest);
    listening.wait(milliseconds(1));
    const auto next = listening.connect();
    CHECK(clients[0]->closes());
    listening.ask(*next);
    CHECK(listening.counts().clients_refused == 3);
  }

  TEST_CASE("whoever has said something that is still to be read stays") {
    Listening listening;
    const auto clients = listening.connect(ClientsOutlet::kClientsMax);
    listening.wait(milliseconds(1'000));
    // The listener is ready before the clients are: all of it comes in one turn.
    const SocketClient late{listening.name()};
    for (const auto& client : clients) client->send(kRequest);
    listening.turn();
    CHECK(late.closes());
    for (const auto& client : clients) CHECK(client->receive(kRequest.size()) == kRequest);
  }

  TEST_CASE("whoever has gone leaves a place, and nobody gives way") {
    Listening listening;
    auto clients = listening.connect(ClientsOutlet::kClientsMax);
    listening.wait(milliseconds(1'000));
    clients.pop_back();
    listening.turn();
    const auto next = listening.connect();
    for (const auto& client : clients) CHECK(listening.answers(*client));
    CHECK(listening.answers(*next));
    CHECK(listening.counts().clients_idle == 0);
  }
}
