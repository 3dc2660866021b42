#include "protocol/session/answer.hpp"

#include <numeric>
#include <random>

#include <doctest/doctest.h>

#include "tests/protocol/session/bench.hpp"
#include "tests/vectors/modbus_frames.hpp"

using namespace tests::session;
using namespace protocol::session;
using protocol::pdu::ExceptionCode;
using tests::vectors::modbus_frame;

TEST_SUITE("protocol/session/answer") {
  TEST_CASE("the standard's requests get the standard's answers") {
    struct Row {
      const char* id;
      std::size_t size = 256;
      ExceptionCode refuses = ExceptionCode::kNone;
    };
    const std::array<Row, 18> rows{{{"fc03"},
                                    {"fc04"},
                                    {"fc05"},
                                    {"fc06"},
                                    {"fc08-00"},
                                    {"fc10"},
                                    {"ex-fc03-02", 100},
                                    {"ok-fc03-96", 100},
                                    {"ex-fc03-03"},
                                    {"ex-fc03-03z"},
                                    {"ex-fc05-03"},
                                    {"ex-fc63-01"},
                                    {"ex-fc06-04", 256, ExceptionCode::kServerDeviceFailure},
                                    {"ex-fc10-06", 256, ExceptionCode::kServerDeviceBusy},
                                    {"ex-fc2b-03"},
                                    {"ex-fc2b-02"},
                                    {"max-fc10"},
                                    {"max-fc03"}}};
    for (const Row& row : rows) {
      CAPTURE(row.id);
      Bench bench;
      bench.device.size = row.size;
      bench.device.refuses = row.refuses;
      if (std::string_view{row.id} == "max-fc03") {
        std::iota(bench.device.holding.begin(), bench.device.holding.end(), std::uint16_t{0});
      } else {
        bench.device.holding[0x6B] = 555;
        bench.device.holding[0x6D] = 100;
        bench.device.input[8] = 10;
      }
      const Bytes request = modbus_frame(row.id, true);
      REQUIRE_FALSE(request.empty());
      CHECK(bench.exchange(request) == modbus_frame(row.id, false));
    }
  }

  TEST_CASE("the standard's requests of bits, files, masks and queues get the standard's answers") {
    struct Row {
      const char* id;
      std::size_t size = 256;
      ExceptionCode refuses = ExceptionCode::kNone;
    };
    const std::array<Row, 15> rows{{{"fc01"},
                                    {"fc02"},
                                    {"fc0f"},
                                    {"fc11"},
                                    {"fc14"},
                                    {"fc16"},
                                    {"fc17"},
                                    {"fc18"},
                                    {"ex-fc01-02", 64},
                                    {"ex-fc01-03"},
                                    {"ex-fc14-08", 256, ExceptionCode::kMemoryParityError},
                                    {"max-fc0f"},
                                    {"max-fc14"},
                                    {"max-fc17"},
                                    {"max-fc18"}}};
    for (const Row& row : rows) {
      CAPTURE(row.id);
      Bench bench;
      bench.device.size = row.size;
      bench.device.refuses = row.refuses;
      const std::string_view id{row.id};
      if (id.starts_with("max-")) {
        std::iota(bench.device.holding.begin(), bench.device.holding.end(), std::uint16_t{0});
        bench.device.files[1].resize(121);
        std::iota(bench.device.files[1].begin(), bench.device.files[1].end(), std::uint16_t{0});
        bench.device.queue.resize(31);
        std::iota(bench.device.queue.begin(), bench.device.queue.end(), std::uint16_t{0});
      } else {
        // Inputs 197-218, counted from 1.
        if (id == "fc17") bench.device.holding = {0, 0, 0, 0x00FE, 0x0ACD, 1, 3, 0x000D, 0x00FF};
        bench.device.input[12] = 0xBAC0;
        bench.device.input[13] = 0x035D;
        bench.device.holding[id == "fc16" ? 4 : 100] = 0x12;
        bench.device.server = {0x53, 0x4C, 0x01, 0xFF, 0x31, 0x30};
        bench.device.files[4] = {0, 0x0DFE, 0x0020};
        bench.device.files[3].resize(9);
        bench.device.files[3].insert(bench.device.files[3].end(), {0x33CD, 0x0040});
        bench.device.queue = {0x01B8, 0x1284};
      }
      if (id == "fc01") {
        const Bytes packed{0xCD, 0x6B, 0x05};
        bench.device.holding.fill(0);
        for (std::size_t i = 0; i < 19; ++i) {
          const unsigned on = (packed[i / 8] >> (i % 8)) & 1U;
          std::uint16_t& word = bench.device.holding[(19 + i) / 16];
          word = static_cast<std::uint16_t>(word | (on << ((19 + i) % 16)));
        }
      }
      CHECK(bench.exchange(modbus_frame(row.id, true)) == modbus_frame(row.id, false));
      if (id == "fc16") CHECK(bench.device.holding[4] == 0x17);
      if (id == "fc17") CHECK(bench.device.holding[0x10] == 0x00FF);
      if (id == "fc0f") CHECK(bench.device.holding[1] == (0x01CD << 3));
    }
  }

  TEST_CASE("what can't be done whole is not begun") {
    Bench bench;
    bench.device.holding[0] = 7;
    bench.device.size = 4;
    const auto refused = [&](Bytes pdu, std::uint8_t code) {
      const auto function = static_cast<std::uint8_t>(pdu[0] | 0x80U);
      CHECK(bench.exchange(sealed(Talk::kUnit, pdu)) == sealed(Talk::kUnit, {function, code}));
    };
    refused({0x17, 0, 4, 0, 1, 0, 0, 0, 1, 2, 0, 9}, 2);  // nothing to read there
    refused({0x17, 0, 0, 0, 1, 0, 4, 0, 1, 2, 0, 9}, 2);  // nothing to write there
    refused({0x17, 0, 0, 0, 126, 0, 0, 0, 1, 2, 0, 9}, 3);
    refused({0x17, 0, 0, 0, 1, 0, 0, 0, 1, 4, 0, 9}, 3);
    refused({0x0F, 0, 60, 0, 8, 1, 0xFF}, 2);  // bits 60..67 of 64
    refused({0x0F, 0, 0, 0, 9, 1, 0xFF}, 3);
    refused({0x01, 0xFF, 0xFF, 0, 2}, 2);  // past the last bit there can be
    refused({0x16, 0, 4, 0, 0, 0, 0}, 2);
    refused({0x14, 7, 5, 0, 1, 0, 0, 0, 1}, 2);        // reference type
    refused({0x14, 7, 6, 0, 0, 0, 0, 0, 1}, 2);        // file 0
    refused({0x14, 7, 6, 0, 1, 0x27, 0x0F, 0, 2}, 2);  // past record 270Fh
    refused({0x14, 7, 6, 0, 1, 0, 0, 0, 122}, 3);      // an answer too long
    refused({0x14, 7, 6, 0, 1, 0, 0, 0, 0}, 3);
    refused({0x14, 0}, 3);
    refused({0x17, 0xFF, 0xFF, 0, 2, 0, 0, 0, 1, 2, 0, 9}, 2);  // past the last register there can be
    refused({0x11}, 1);
    refused({0x18, 0, 0}, 2);
    bench.device.queue.resize(32);
    refused({0x18, 0x04, 0xDE}, 3);
    CHECK(bench.device.writes == 0);
    CHECK(bench.device.holding[0] == 7);
  }

  TEST_CASE("writes reach the device as the standard's examples mean them") {
    Bench bench;
    (void)bench.exchange(modbus_frame("fc05", true));
    CHECK(bench.device.holding[0x0A] == 1U << 0xC);
    (void)bench.exchange(modbus_frame("fc06", true));
    CHECK(bench.device.holding[1] == 3);
    (void)bench.exchange(modbus_frame("fc10", true));
    CHECK(bench.device.holding[1] == 0x000A);
    CHECK(bench.device.holding[2] == 0x0102);
    CHECK(bench.device.writes == 3);
  }

  TEST_CASE("the quantity is checked before the address, and the address before execution") {
    Bench bench;
    bench.device.size = 4;
    bench.device.refuses = ExceptionCode::kServerDeviceFailure;
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x03, 0, 9, 0, 126})) == sealed(Talk::kUnit, {0x83, 3}));
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x03, 0, 9, 0, 125})) == sealed(Talk::kUnit, {0x83, 2}));
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x03, 0, 0, 0, 1})) == sealed(Talk::kUnit, {0x83, 4}));
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x03, 0xFF, 0xFF, 0, 2})) == sealed(Talk::kUnit, {0x83, 2}));
    // Two registers announced, three sent; and one register announced with a byte count of 4.
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x10, 0, 0, 0, 2, 6, 0, 1, 0, 2, 0, 3})) ==
          sealed(Talk::kUnit, {0x90, 3}));
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x10, 0, 0, 0, 1, 4, 0, 1, 0, 2})) ==
          sealed(Talk::kUnit, {0x90, 3}));
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x10, 0, 0, 0, 0, 0})) == sealed(Talk::kUnit, {0x90, 3}));
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x08, 0, 3, 0, 0})) == sealed(Talk::kUnit, {0x88, 1}));
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x08, 1, 0, 0, 0})) == sealed(Talk::kUnit, {0x88, 1}));
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x08, 0, 0x0B, 0, 1})) == sealed(Talk::kUnit, {0x88, 3}));
    CHECK(bench.device.writes == 0);
  }

  TEST_CASE("identification comes in as many pages as it takes, no object split, none left out") {
    Bench bench;
    bench.device.objects[0] = "Tram depot";
    bench.device.objects[1] = "alder";
    bench.device.objects[2] = "1.0";
    bench.device.objects[0x80] = std::string(200, 'a');
    bench.device.objects[0x81] = std::string(244, 'b');
    bench.device.objects[0x83] = "end";
    std::vector<int> ids;
    std::uint8_t from = 0;
    for (int pages = 0; pages < 10; ++pages) {
      const Bytes answer = bench.exchange(sealed(Talk::kUnit, {0x2B, 0x0E, 3, from}));
      REQUIRE(answer.size() > 9);
      const Octets pdu = protocol::rtu::pdu_of(answer);
      REQUIRE(protocol::pdu::is_identification(pdu));
      const protocol::pdu::IdentificationPage page{pdu};
      CHECK(page.conformity() == 0x83);
      for (std::uint8_t i = 0; i < page.count(); ++i) {
        const auto object = page.object(i);
        ids.push_back(object.id);
        CHECK(object.text == *bench.device.objects[object.id]);
      }
      if (!page.more_follows()) break;
      from = page.next_object();
    }
    CHECK(ids == std::vector<int>{0, 1, 2, 0x80, 0x81, 0x83});
  }

  // The answer is written over the request: every mix of short and long groups has to come out right.
  TEST_CASE("files come in the order asked, however short and long groups are mixed") {
    std::mt19937 random{1};
    const auto below = [&](unsigned bound) { return static_cast<unsigned>(random() % bound); };
    for (int run = 0; run < 2000; ++run) {
      CAPTURE(run);
      Bench bench;
      for (std::uint16_t file = 1; file <= 3; ++file) {
        auto& words = bench.device.files[file];
        words.resize(130);
        for (std::uint16_t i = 0; i < 130; ++i) words[i] = static_cast<std::uint16_t>(file << 8 | i);
      }
      Bytes request{0x14, 0};
      Bytes expected{0x14, 0};
      for (;;) {
        const unsigned count = below(4) == 0 ? 1 + below(100) : 1 + below(4);
        if (expected.size() + 2 + count * 2 > 2 + 0xF5 || request.size() + 7 > 2 + 0xF5) break;
        const auto file = static_cast<std::uint8_t>(1 + below(3));
        const auto record = static_cast<std::uint8_t>(below(30));
        request = request + Bytes{6, 0, file, 0, record, 0, static_cast<std::uint8_t>(count)};
        expected = expected + Bytes{static_cast<std::uint8_t>(count * 2 + 1), 6};
        for (unsigned i = 0; i < count; ++i) {
          expected = expected + Bytes{file, static_cast<std::uint8_t>(record + i)};
        }
      }
      request[1] = static_cast<std::uint8_t>(request.size() - 2);
      expected[1] = static_cast<std::uint8_t>(expected.size() - 2);
      REQUIRE(bench.exchange(sealed(Talk::kUnit, request)) == sealed(Talk::kUnit, expected));
    }
  }

  // The same for bits, at every offset in a register and many counts; what is expected is worked out bit by
  // bit.
  TEST_CASE("bits are read and written at every place, and their neighbours stay") {
    std::mt19937 random{2};
    const auto below = [&](unsigned bound) { return static_cast<unsigned>(random() % bound); };
    for (unsigned run = 0; run < 3000; ++run) {
      const unsigned address = below(40);
      const unsigned count = run < 100 ? 1968 - run % 8 : 1 + below(run % 2 == 0 ? 40U : 1900U);
      CAPTURE(address);
      CAPTURE(count);
      Bench bench;
      for (auto& word : bench.device.holding) word = static_cast<std::uint16_t>(random());
      std::vector<bool> bits;
      for (const std::uint16_t word : bench.device.holding) {
        for (unsigned bit = 0; bit < 16; ++bit) bits.push_back((word >> bit & 1) != 0);
      }
      const auto asked = [&](std::uint8_t function) {
        return Bytes{function, static_cast<std::uint8_t>(address >> 8), static_cast<std::uint8_t>(address),
                     static_cast<std::uint8_t>(count >> 8), static_cast<std::uint8_t>(count)};
      };
      const auto octets = static_cast<std::uint8_t>((count + 7) / 8);
      Bytes read{0x01, octets};
      read.resize(2 + std::size_t{octets});
      for (unsigned i = 0; i < count; ++i) {
        if (bits[address + i]) read[2 + i / 8] = static_cast<std::uint8_t>(read[2 + i / 8] | 1U << i % 8);
      }
      REQUIRE(bench.exchange(sealed(Talk::kUnit, asked(0x01))) == sealed(Talk::kUnit, read));
      Bytes packed(octets);
      for (auto& octet : packed) octet = static_cast<std::uint8_t>(random());  // unused bits too
      for (unsigned i = 0; i < count; ++i) bits[address + i] = (packed[i / 8] >> i % 8 & 1) != 0;
      REQUIRE(bench.exchange(sealed(Talk::kUnit, asked(0x0F) + Bytes{octets} + packed)) ==
              sealed(Talk::kUnit, asked(0x0F)));
      for (std::size_t i = 0; i < bits.size(); ++i) {
        if (bits[i] != ((bench.device.holding[i / 16] >> i % 16 & 1) != 0)) FAIL("bit " << i);
      }
    }
  }

  TEST_CASE("a coil by itself is written at every place, on and off, and its neighbours stay") {
    for (std::uint8_t coil = 0; coil < 48; ++coil) {
      CAPTURE(coil);
      const auto mask = static_cast<std::uint16_t>(1U << coil % 16);
      Bench bench;
      const Bytes on = sealed(Talk::kUnit, {0x05, 0, coil, 0xFF, 0});
      CHECK(bench.exchange(on) == on);
      CHECK(bench.device.holding[coil / 16] == mask);
      bench.device.holding.fill(0xFFFF);
      const Bytes off = sealed(Talk::kUnit, {0x05, 0, coil, 0, 0});
      CHECK(bench.exchange(off) == off);
      CHECK(bench.device.holding[coil / 16] == static_cast<std::uint16_t>(~mask));
    }
  }

  TEST_CASE("a category ends where it ends, and an unknown start begins again") {
    Bench bench;
    bench.device.objects[0] = "a";
    bench.device.objects[3] = "b";
    bench.device.objects[0x80] = "c";
    const auto count = [&](std::uint8_t code, std::uint8_t from) {
      const Bytes answer = bench.exchange(sealed(Talk::kUnit, {0x2B, 0x0E, code, from}));
      return static_cast<int>(answer[7]);
    };
    CHECK(count(1, 0) == 1);
    CHECK(count(2, 0) == 2);
    CHECK(count(3, 0) == 3);
    CHECK(count(3, 0x80) == 1);
    CHECK(count(3, 0x55) == 3);
    CHECK(count(1, 0x80) == 1);
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x2B, 0x0E, 4, 0x80})) ==
          sealed(Talk::kUnit, {0x2B, 0x0E, 4, 0x83, 0, 0, 1, 0x80, 1, 'c'}));
    CHECK(bench.exchange(sealed(Talk::kUnit, {0x2B, 0x0D, 0, 0})) == sealed(Talk::kUnit, {0xAB, 1}));
  }

  TEST_CASE("an object longer than an answer is cut, not dropped") {
    Bench bench;
    bench.device.objects[0x80] = std::string(300, 'x');
    const Bytes answer = bench.exchange(sealed(Talk::kUnit, {0x2B, 0x0E, 4, 0x80}));
    CHECK(answer.size() == protocol::rtu::kAduSizeMax);
    CHECK(answer[9] == 244);
  }
}
