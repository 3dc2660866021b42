#include "protocol/pdu/identification.hpp"

#include <doctest/doctest.h>

#include "tests/vectors/modbus_frames.hpp"

using namespace protocol::pdu;

namespace {

std::vector<std::uint8_t> example(const std::string& id) {
  const auto frame = tests::vectors::modbus_frame(id, false);
  REQUIRE(frame.size() > 3);
  return {frame.begin() + 1, frame.end() - 2};
}

}  // namespace

TEST_SUITE("protocol/pdu/identification") {
  TEST_CASE("the standard's example holds three objects") {
    const auto pdu = example("fc2b-basic");
    REQUIRE(is_identification(pdu));
    const IdentificationPage page{pdu};
    CHECK(page.code() == 1);
    CHECK(page.conformity() == 1);
    CHECK_FALSE(page.more_follows());
    REQUIRE(page.count() == 3);
    CHECK(page.object(0).text == "Company identification");
    CHECK(page.object(1).id == 1);
    CHECK(page.object(1).text == "Product code XX");
    CHECK(page.object(2).id == 2);
    CHECK(page.object(2).text == "V2.11");
  }

  TEST_CASE("the first of two pages says where the second begins") {
    const auto pdu = example("fc2b-first");
    REQUIRE(is_identification(pdu));
    CHECK(IdentificationPage{pdu}.more_follows());
    CHECK(IdentificationPage{pdu}.next_object() == 2);
    CHECK(IdentificationPage{pdu}.count() == 2);
  }

  TEST_CASE("objects that do not fill the answer exactly are no identification") {
    const auto whole = example("fc2b-basic");
    for (std::size_t size = 0; size < whole.size(); ++size) {
      CAPTURE(size);
      CHECK_FALSE(is_identification(protocol::base::Octets{whole}.first(size)));
    }
    auto longer = whole;
    longer.push_back(0);
    CHECK_FALSE(is_identification(longer));
    // As the standard prints it: an object of 15 characters that says 13.
    auto printed = whole;
    printed[7 + 2 + 22 + 1] = 0x0D;
    CHECK_FALSE(is_identification(printed));
  }
}
