#include "protocol/mbap/transaction.hpp"

#include <vector>

#include <doctest/doctest.h>

using namespace protocol::mbap;
using protocol::base::read_be16;
using protocol::pdu::Match;
using Bytes = std::vector<std::uint8_t>;

namespace {

const Bytes kAnswer{0x03, 0x02, 0x00, 0x04};

std::uint16_t transaction_of(const Adu& adu) {
  return read_be16(adu.octets(), 0);
}

}  // namespace

TEST_SUITE("protocol/mbap/transaction") {
  TEST_CASE("the answer with the question's transaction and unit is taken") {
    Transaction transaction{0x1501};
    const Adu adu = transaction.ask(0xFF, protocol::pdu::read_holding_registers(4, 1));
    CHECK(transaction_of(adu) == 0x1501);
    CHECK(transaction.hear({0x1501, 0xFF, kAnswer}) == Match::kAnswer);
    CHECK_FALSE(transaction.open());
  }

  TEST_CASE("an answer to any other of the 65,535 transactions is left aside and waiting goes on") {
    Transaction transaction{0};
    const std::uint16_t own = transaction_of(transaction.ask(1, protocol::pdu::read_holding_registers(4, 1)));
    for (std::uint32_t other = 0; other <= 0xFFFF; ++other) {
      if (other == own) continue;
      if (transaction.hear({static_cast<std::uint16_t>(other), 1, kAnswer})) FAIL_CHECK(other);
    }
    CHECK(transaction.open());
    CHECK(transaction.hear({own, 1, kAnswer}) == Match::kAnswer);
  }

  TEST_CASE("an answer of another unit, a second answer and one nobody waits for are left aside") {
    Transaction transaction{7};
    const auto request = protocol::pdu::read_holding_registers(4, 1);
    const std::uint16_t own = transaction_of(transaction.ask(1, request));
    CHECK_FALSE(transaction.hear({own, 2, kAnswer}));
    CHECK(transaction.hear({own, 1, kAnswer}));
    CHECK_FALSE(transaction.hear({own, 1, kAnswer}));
    const std::uint16_t given_up = transaction_of(transaction.ask(1, request));
    transaction.abandon();
    CHECK_FALSE(transaction.hear({given_up, 1, kAnswer}));
  }

  TEST_CASE("a late answer does not count for the question asked anew") {
    Transaction transaction{0xFFFF};
    const auto request = protocol::pdu::read_holding_registers(4, 1);
    const std::uint16_t late = transaction_of(transaction.ask(1, request));
    const std::uint16_t now = transaction_of(transaction.ask(1, request));
    CHECK(late == 0xFFFF);
    CHECK(now == 0);
    CHECK_FALSE(transaction.hear({late, 1, kAnswer}));
    CHECK(transaction.hear({now, 1, kAnswer}) == Match::kAnswer);
  }

  TEST_CASE("an answer of the right transaction and the wrong shape is told from a refusal") {
    Transaction transaction{1};
    const auto request = protocol::pdu::read_holding_registers(4, 1);
    const Bytes longer{0x03, 0x04, 0x00, 0x04, 0x00, 0x05};
    const Bytes refused{0x83, 0x02};
    CHECK(transaction.hear({transaction_of(transaction.ask(1, request)), 1, longer}) == Match::kShape);
    CHECK(transaction.hear({transaction_of(transaction.ask(1, request)), 1, refused}) == Match::kException);
  }
}
