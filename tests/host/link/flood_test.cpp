#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/session.hpp"
#include "host/link/trace/writer.hpp"
#include "tests/support/run_program.hpp"

using namespace host::link;
using protocol::base::Instant;
using protocol::base::microseconds;
using protocol::base::milliseconds;

TEST_SUITE("host/link/flood") {
  // Left out octets used to look like a quiet line, on which was asked what nobody had asked.
  TEST_CASE("a line that was never quiet is so when it is replayed, though most of it was left out") {
    const tests::support::TemporaryFolder folder;
    const std::string path = folder.path() + "/flood.pcapng";
    {
      auto writer = trace::Writer::create(path);
      REQUIRE(writer.has_value());
      (*writer)->begin({}, 1'000'000, Instant{});
      const std::vector<std::uint8_t> noise(100, 0x55);
      for (int i = 0; i < 20'000; ++i) {
        (*writer)->received(noise, Instant{microseconds(100 * i)});
      }
      REQUIRE((*writer)->close().has_value());
    }
    const auto link = parse_link("trace:" + path);
    REQUIRE(link.has_value());
    const CancelToken never;
    const auto session = Session::open(*link, {}, Deadline::after(milliseconds(10'000)), never);
    REQUIRE_FALSE(session.has_value());
    CHECK(session.error().fault == Fault::kNoisy);
    CHECK(session.error().message.find("never quiet") != std::string::npos);
  }
}
