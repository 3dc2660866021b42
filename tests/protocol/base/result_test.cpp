#include "protocol/base/result.hpp"

#include <doctest/doctest.h>

#include "protocol/base/time.hpp"

using namespace protocol::base;

namespace {

struct Fault {
  int at = 0;
};

Result<int, Fault> half(int number) {
  if (number % 2 != 0) return Fault{number};
  return number / 2;
}

}  // namespace

TEST_SUITE("protocol/base/result") {
  TEST_CASE("a result is a value or the reason why there is none") {
    CHECK(half(8).ok());
    CHECK(half(8).value() == 4);
    CHECK_FALSE(half(7).ok());
    CHECK(half(7).error().at == 7);
    CHECK(static_cast<bool>(half(8)));
  }

  TEST_CASE("instants are microseconds and know no now()") {
    CHECK(Instant{milliseconds(3)} - Instant{microseconds(1)} == microseconds(2999));
  }
}
