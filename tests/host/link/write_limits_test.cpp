#include <cstdint>
#include <memory>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/session.hpp"
#include "tests/host/link/every_function.hpp"
#include "tests/host/link/far_unit.hpp"

using namespace host::link;
namespace pdu = protocol::pdu;
using protocol::base::Instant;
using protocol::base::milliseconds;
using Words = std::vector<std::uint16_t>;

namespace {

struct Bench {
  explicit Bench(const WriteLimits& writes)
      : owned{std::make_unique<MemoryPort>(LineSettings{19200, Parity::kEven, 1})}, unit{*owned, 1} {
    SessionOptions options;
    options.line = owned->near();
    options.seed = 7;
    options.writes = writes;
    auto opened =
        Session::over(std::move(owned), options, /*own=*/true, Deadline{Instant{milliseconds(60'000)}}, stop);
    REQUIRE(opened.has_value());
    session = std::make_unique<Session>(std::move(*opened));
  }

  CancelToken stop;
  std::unique_ptr<MemoryPort> owned;
  FarUnit unit;
  std::unique_ptr<Session> session;
};

}  // namespace

TEST_SUITE("host/link/write_limits") {
  TEST_CASE("a session that is told of no register writes none, and nothing leaves") {
    Bench bench{WriteLimits{}};
    const auto sent = bench.session->statistics().counts.octets_sent;
    const std::vector<std::uint8_t> bits{1};
    for (const pdu::Request& request :
         {pdu::write_single_register(1, 2), pdu::write_multiple_registers(1, Words{2, 3}),
          pdu::mask_write_register(1, 2, 3), pdu::read_write_registers(1, 1, 1, Words{2}),
          pdu::write_single_coil(1, true), pdu::write_multiple_coils(1, 1, bits), pdu::diagnose(0x01),
          pdu::diagnose(0x0A), pdu::diagnose(0x14)}) {
      CAPTURE(static_cast<int>(request.function()));
      const auto answer = bench.session->ask(request);
      REQUIRE_FALSE(answer.has_value());
      CHECK(answer.error().fault == Fault::kNotAllowed);
      CHECK(answer.error().exit_code == 64);
      CHECK(answer.error().message.find("nothing was sent") == 0);
    }
    CHECK(bench.session->write(1, Words{2}).error().fault == Fault::kNotAllowed);
    CHECK(bench.session->broadcast(pdu::write_single_register(1, 2)).error().fault == Fault::kNotAllowed);
    CHECK(bench.session->statistics().counts.octets_sent == sent);
    // What reads, and what a diagnosis counts, is no write.
    CHECK(bench.session->ask(pdu::diagnose(0x0B)).has_value());
    CHECK(bench.session->ask(pdu::return_query_data(0x1234)).has_value());
    CHECK(bench.session->read(Table::kHolding, 1, 2) == Words{0, 0});
  }

  TEST_CASE("a register takes what lies between its bounds, alone and among others") {
    WriteLimits writes;
    writes.allow(10, 5, 100);
    writes.allow(11, 0, 0xFFFF);
    Bench bench{writes};
    CHECK(bench.session->write(10, Words{5}).has_value());
    CHECK(bench.session->write(10, Words{100, 0xFFFF}).has_value());
    CHECK(bench.session->read(Table::kHolding, 10, 2) == Words{100, 0xFFFF});
    const auto sent = bench.session->statistics().counts.octets_sent;
    for (const Words& words : {Words{4}, Words{101}, Words{101, 1}, Words{50, 1, 1}}) {
      const auto done = bench.session->write(10, words);
      REQUIRE_FALSE(done.has_value());
      CHECK(done.error().fault == Fault::kNotAllowed);
    }
    CHECK(bench.session->write(10, Words{101}).error().message ==
          "nothing was sent: register 0x000A takes 5 to 100, not 101");
    CHECK(bench.session->write(9, Words{1, 50}).error().message ==
          "nothing was sent: register 0x0009 is not to be written");
    CHECK_FALSE(bench.session->ask(pdu::read_write_registers(0, 125, 10, Words{4})).has_value());
    CHECK_FALSE(bench.session->ask(pdu::mask_write_register(10, 0, 0)).has_value());
    CHECK(bench.session->statistics().counts.octets_sent == sent);
    CHECK(bench.session->ask(pdu::read_write_registers(10, 2, 10, Words{6, 7})).has_value());
    CHECK(bench.session->ask(pdu::mask_write_register(11, 0xFFF0, 0x0001)).has_value());
    CHECK(bench.session->read(Table::kHolding, 10, 2) == Words{6, 1});
    CHECK(bench.session->broadcast(pdu::write_single_register(10, 8)).has_value());
    CHECK(bench.session->read(Table::kHolding, 10, 1) == Words{8});
  }

  TEST_CASE("without limits every function is asked and answered, and a broadcast done") {
    Bench bench{WriteLimits::none()};
    ask_every_function(*bench.session, /*serial=*/true);
    const auto read = bench.session->broadcast(pdu::read_input_registers(0, 1));
    REQUIRE_FALSE(read.has_value());
    CHECK(read.error().fault == Fault::kBrokenPrecondition);
  }
}
