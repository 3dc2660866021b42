#include "host/link/trace/writer.hpp"

#include <cerrno>
#include <csignal>
#include <filesystem>
#include <utility>
#include <vector>

#include <doctest/doctest.h>
#include <sys/resource.h>
#include <sys/stat.h>

#include "host/link/trace/preamble.hpp"
#include "host/link/trace/reader.hpp"
#include "tests/support/run_program.hpp"

using namespace host::link::trace;
using protocol::base::Instant;
using protocol::base::microseconds;
using Bytes = std::vector<std::uint8_t>;
using Kind = Record::Kind;

namespace {

// AP V1.1b3, 6.3, sealed as SL V1.02 wants: the request and the answer of its example.
const Bytes kRequest{0x11, 0x03, 0x00, 0x6B, 0x00, 0x03, 0x76, 0x87};
const Bytes kAnswer{0x11, 0x03, 0x06, 0xAE, 0x41, 0x56, 0x52, 0x43, 0x40, 0x49, 0xAD};
constexpr std::int64_t kNoon = 1'795'780'800'000'000;  // 2026-11-27T12:00:00Z

Instant at(std::int64_t us) {
  return Instant{microseconds(us)};
}

/// As long as one lives, no file grows beyond so many octets.
class NoRoom {
 public:
  explicit NoRoom(rlim_t octets) : before_{std::signal(SIGXFSZ, SIG_IGN)} {
    REQUIRE(getrlimit(RLIMIT_FSIZE, &limit_) == 0);
    const rlimit low{octets, limit_.rlim_max};
    REQUIRE(setrlimit(RLIMIT_FSIZE, &low) == 0);
  }
  ~NoRoom() {
    setrlimit(RLIMIT_FSIZE, &limit_);
    std::signal(SIGXFSZ, before_);
  }
  NoRoom(const NoRoom&) = delete;
  NoRoom& operator=(const NoRoom&) = delete;

 private:
  void (*before_)(int);
  rlimit limit_{};
};

std::vector<Record> records_of(const std::string& path, Preamble* preamble = nullptr) {
  const auto reader = Reader::open(path);
  REQUIRE_MESSAGE(reader.has_value(), (reader ? "" : reader.error().message));
  if (preamble != nullptr) {
    REQUIRE((*reader)->preamble().has_value());
    *preamble = *(*reader)->preamble();
  }
  std::vector<Record> records;
  while (true) {
    const auto next = (*reader)->next();
    REQUIRE_MESSAGE(next.has_value(), (next ? "" : next.error().message));
    if (!*next) return records;
    records.push_back(**next);
  }
}

}  // namespace

TEST_SUITE("host/link/trace/writer") {
  TEST_CASE("what was written is read back with its times, for serial lines and for Modbus/TCP") {
    const tests::support::TemporaryFolder folder;
    for (const Carrier carrier : {Carrier::kRtu, Carrier::kMbap}) {
      const std::string path = folder.path() + "/t.pcapng";
      const Preamble said{carrier, 17, 0xDEADBEEF, 115200, 'O', 2, 1000};
      {
        auto writer = Writer::create(path);
        REQUIRE(writer.has_value());
        (*writer)->begin(said, kNoon, at(5'000));
        (*writer)->sent(kRequest, at(5'001));
        (*writer)->received({kAnswer.data(), 4}, at(7'000));
        (*writer)->received({kAnswer.data() + 4, kAnswer.size() - 4}, at(9'250));
        if (carrier == Carrier::kRtu) (*writer)->damaged(at(9'300), 0x41, true);
        (*writer)->lost(at(2'000'000'000));
        CHECK((*writer)->close().has_value());
      }
      Preamble read;
      const auto records = records_of(path, &read);
      CHECK(read == said);
      REQUIRE(records.size() == 4);
      CHECK(records[0].kind == Kind::kSent);
      CHECK(records[0].octets == kRequest);
      CHECK(records[0].at_us == kNoon + 1);
      CHECK(records[1].kind == Kind::kReceived);
      if (carrier == Carrier::kRtu) {
        CHECK(records[1].octets == kAnswer);  // put together from its pieces
        CHECK(records[1].first_us == kNoon + 2'000);
        CHECK(records[1].at_us == kNoon + 4'250);
        CHECK(records[2].kind == Kind::kDamaged);
        CHECK(records[2].at_us == kNoon + 4'300);
        CHECK(records[2].octets == std::vector<std::uint8_t>{0x41});
        CHECK(records[2].parity);
      } else {
        CHECK(records[1].octets.size() == 4);  // a stream, as it came
        CHECK(records[2].octets.size() == kAnswer.size() - 4);
      }
      CHECK(records[3].kind == Kind::kLost);
      CHECK(records[3].at_us == kNoon + 1'999'995'000);
    }
  }

  // A peer on loopback once filled a disk with 70 MB a second.
  TEST_CASE("a flood is written up to 64 KiB and its latest piece, which tells how much was left out") {
    const tests::support::TemporaryFolder folder;
    const std::string path = folder.path() + "/t.pcapng";
    constexpr std::size_t kRounds = 4000;
    for (const Carrier carrier : {Carrier::kRtu, Carrier::kMbap}) {
      for (const bool asked_again : {true, false}) {
        CAPTURE(asked_again);
        auto writer = Writer::create(path);
        REQUIRE(writer.has_value());
        (*writer)->begin({.carrier = carrier}, kNoon, at(0));
        (*writer)->sent(kRequest, at(0));
        const Bytes noise(1000, 0x55);
        for (std::size_t round = 1; round <= kRounds; ++round) {
          (*writer)->received(noise, at(static_cast<std::int64_t>(round)));
        }
        if (asked_again) {
          (*writer)->sent(kRequest, at(5000));
          (*writer)->received(kAnswer, at(6000));
        }
        REQUIRE((*writer)->close().has_value());
        CHECK(std::filesystem::file_size(path) < 90'000);
        auto records = records_of(path);
        if (asked_again) {
          CHECK(records.back().octets == kAnswer);
          records.resize(records.size() - 2);
        }
        std::size_t whole = 0;
        for (const Record& record : records) {
          if (record.kind == Kind::kReceived) whole += record.octets.size() + record.left_out;
        }
        CHECK(whole == kRounds * noise.size());
        CHECK(records.back().at_us == kNoon + static_cast<std::int64_t>(kRounds));
        CHECK(records.back().left_out > kRounds * noise.size() - 70'000);
        CHECK(records[records.size() - 2].left_out == 0);
      }
    }
  }

  TEST_CASE("so many damaged octets in a row are a flood too, and what is less is written whole") {
    const tests::support::TemporaryFolder folder;
    const std::string path = folder.path() + "/t.pcapng";
    for (const std::size_t count : {65'537U, 100'000U}) {
      auto writer = Writer::create(path);
      REQUIRE(writer.has_value());
      (*writer)->begin({}, kNoon, at(0));
      for (std::size_t i = 0; i < count; ++i) {
        (*writer)->damaged(at(static_cast<std::int64_t>(i)));
      }
      (*writer)->lost(at(200'000));
      REQUIRE((*writer)->close().has_value());
      const auto records = records_of(path);
      REQUIRE(records.size() == 65'536 + 2);
      CHECK(records.back().kind == Kind::kLost);
      CHECK(records[records.size() - 2].left_out == count - 65'537);
    }
  }

  // Octets by hand from the pcapng format and from packet.hpp.
  TEST_CASE("the file begins as the format and the README say") {
    const tests::support::TemporaryFolder folder;
    const std::string path = folder.path() + "/t.pcapng";
    auto writer = Writer::create(path);
    REQUIRE(writer.has_value());
    (*writer)->begin({}, kNoon, at(0));
    (*writer)->sent(kRequest, at(500));
    REQUIRE((*writer)->close().has_value());
    const std::string text = tests::support::file_text(path);
    CHECK(text.substr(0, 4) == "\x0A\x0D\x0D\x0A");
    CHECK(text.substr(8, 4) == "\x4D\x3C\x2B\x1A");
    CHECK(text.find("strapline-trace 1 carrier=rtu unit=1 seed=1 baud=19200 format=8E1 latency_us=0") !=
          std::string::npos);
    const Bytes packet{0x6B, 0x09, 0x80, 0xC0, 0x00, 0x00, 0x01, 0xF4, 0x01, 0x00, 0x00, 0x00};
    CAPTURE(text.size());
    CHECK(text.find(std::string(packet.begin() + 4, packet.end()) +
                    std::string(kRequest.begin(), kRequest.end())) != std::string::npos);
  }

  TEST_CASE("a trace that can't be created or written says so and disturbs nobody before") {
    CHECK_FALSE(Writer::create("/nonexistent/t.pcapng").has_value());
    const tests::support::TemporaryFolder folder;
    auto full = Writer::create(folder.path() + "/t.pcapng");
    REQUIRE(full.has_value());
    const NoRoom room{200};
    (*full)->begin({}, kNoon, at(0));
    (*full)->sent(kRequest, at(1));
    const auto closed = (*full)->close();
    REQUIRE_FALSE(closed.has_value());
    CHECK(closed.error().message.find("not whole") != std::string::npos);
    CHECK(closed.error().reason == EFBIG);
  }

  // A capture of yesterday used to be emptied before it was known whether there is anything to put into it.
  TEST_CASE("a file is emptied when the writing begins, and one made for it goes when nothing began") {
    const tests::support::TemporaryFolder folder;
    const std::string old = folder.write("old.pcapng", std::string(5000, 'x'));
    const std::string fresh = folder.path() + "/new.pcapng";
    {
      const auto first = Writer::create(old);
      const auto second = Writer::create(fresh);
      REQUIRE(first.has_value());
      REQUIRE(second.has_value());
      CHECK((*second)->close().has_value());
    }
    CHECK(tests::support::file_text(old) == std::string(5000, 'x'));
    CHECK_FALSE(std::filesystem::exists(fresh));
    auto writer = Writer::create(old);
    REQUIRE(writer.has_value());
    (*writer)->begin({}, kNoon, at(0));
    CHECK((*writer)->close().has_value());
    CHECK(records_of(old).empty());
  }

  TEST_CASE("what was made behind a link goes, and the link stays") {
    const tests::support::TemporaryFolder folder;
    std::filesystem::create_symlink("far.pcapng", folder.path() + "/link.pcapng");
    {
      const auto writer = Writer::create(folder.path() + "/link.pcapng");
      REQUIRE(writer.has_value());
      CHECK(std::filesystem::exists(folder.path() + "/far.pcapng"));
    }
    CHECK_FALSE(std::filesystem::exists(folder.path() + "/far.pcapng"));
    CHECK(std::filesystem::is_symlink(folder.path() + "/link.pcapng"));
  }

  TEST_CASE("only an ordinary file is written or read, and nobody is waited for") {
    const tests::support::TemporaryFolder folder;
    const std::string fifo = folder.path() + "/fifo";
    REQUIRE(mkfifo(fifo.c_str(), 0600) == 0);
    for (const auto& [path, reason] :
         {std::pair{fifo, EINVAL}, {std::string{"/dev/null"}, EINVAL}, {folder.path(), EISDIR}}) {
      CAPTURE(path);
      const auto writer = Writer::create(path);
      REQUIRE_FALSE(writer.has_value());
      CHECK(writer.error().reason == reason);
      const auto reader = Reader::open(path);
      REQUIRE_FALSE(reader.has_value());
      CHECK(reader.error().reason == reason);
      CHECK(reader.error().remedy == "give a file that --trace has written");
    }
  }

  TEST_CASE("a preamble is read as it was written, and one that can't be is none") {
    const Preamble said{Carrier::kMbap, 247, 1, 4'000'000, 'N', 2, 16'000, true};
    CHECK(preamble_of(to_text(said)) == said);
    CHECK_FALSE(preamble_of("strapline-trace 1 unit=1")->listens);
    CHECK_FALSE(preamble_of("strapline-trace 1 listens=perhaps").has_value());
    CHECK(preamble_of(to_text(said) + " later=word").has_value());
    CHECK(preamble_of("strapline-trace 1") == Preamble{});
    for (const char* text :
         {"", "strapline-trace 2", "strapline-trace 11 unit=1", "strapline-trace 1 unit=0",
          "strapline-trace 1 unit=248", "strapline-trace 1 baud=0", "strapline-trace 1 word",
          "strapline-trace 1 format=7E1", "strapline-trace 1 format=8E3", "strapline-trace 1 carrier=x",
          "strapline-trace 1 seed=4294967296", "strapline-trace 1 latency_us=-1"}) {
      CAPTURE(text);
      CHECK_FALSE(preamble_of(text).has_value());
    }
  }
}
