#include "host/link/trace/cutter.hpp"

#include <vector>

#include <doctest/doctest.h>

#include "tests/vectors/modbus_frames.hpp"

using host::link::trace::Cutter;
using protocol::base::Instant;
using protocol::base::milliseconds;
using protocol::base::Octets;
using Bytes = std::vector<std::uint8_t>;

TEST_SUITE("host/link/trace/cutter") {
  // Frames: the standard's examples, as tests/vectors tells. ex-fc63-01 is of a function without a known
  // length.
  TEST_CASE("frames that come joined or in pieces are each put together") {
    Bytes all;
    std::vector<Bytes> frames;
    for (const auto& frame : tests::vectors::modbus_frames()) {
      if (frame.id == "ex-fc63-01") continue;
      frames.push_back(frame.octets);
      all.insert(all.end(), frame.octets.begin(), frame.octets.end());
    }
    for (const std::size_t piece :
         {std::size_t{1}, std::size_t{3}, std::size_t{64}, std::size_t{1000}, all.size()}) {
      CAPTURE(piece);
      std::vector<Bytes> cut;
      Cutter cutter{[&](Octets octets, Instant, Instant) { cut.emplace_back(octets.begin(), octets.end()); }};
      for (std::size_t at = 0; at < all.size(); at += piece) {
        cutter.push(Octets{all}.subspan(at, std::min(piece, all.size() - at)), Instant{milliseconds(5)});
      }
      cutter.flush();
      CHECK(cut == frames);
    }
  }

  TEST_CASE("what is no frame ends with a silence and loses nothing") {
    std::vector<Bytes> cut;
    Cutter cutter{[&](Octets octets, Instant, Instant) { cut.emplace_back(octets.begin(), octets.end()); }};
    const Bytes noise{0xFF, 0x00, 0x12};
    cutter.push(noise, Instant{milliseconds(0)});
    cutter.push(noise, Instant{milliseconds(10)});
    cutter.push(noise, Instant{milliseconds(100)});
    cutter.flush();
    REQUIRE(cut.size() == 2);
    CHECK(cut[0].size() == 6);
    CHECK(cut[1] == noise);
    // However much comes, little is held.
    const Bytes flood(100'000, 0x55);
    std::size_t handed = 0;
    std::size_t most = 0;
    Cutter bounded{[&](Octets octets, Instant, Instant) {
      handed += octets.size();
      most = std::max(most, octets.size());
    }};
    bounded.push(flood, Instant{});
    bounded.flush();
    CHECK(handed == flood.size());
    CHECK(most <= 1024);
  }
}
