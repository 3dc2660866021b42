// What a file can do to its reader: nothing but be refused.

#include <random>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/trace/explain.hpp"
#include "host/link/trace/reader.hpp"
#include "host/link/trace/writer.hpp"
#include "tests/support/run_program.hpp"

using namespace host::link::trace;
using protocol::base::Instant;
using protocol::base::milliseconds;
using Bytes = std::vector<std::uint8_t>;

namespace {

std::string sound_trace(const tests::support::TemporaryFolder& folder, Carrier carrier) {
  const std::string path = folder.path() + "/sound.pcapng";
  auto writer = Writer::create(path);
  REQUIRE(writer.has_value());
  Preamble preamble;
  preamble.carrier = carrier;
  (*writer)->begin(preamble, 1'000'000, Instant{});
  (*writer)->sent(Bytes{0x11, 0x03, 0x00, 0x6B, 0x00, 0x03, 0x76, 0x87}, Instant{milliseconds(1)});
  (*writer)->received(Bytes{0x11, 0x03, 0x06, 0xAE, 0x41, 0x56, 0x52, 0x43, 0x40, 0x49, 0xAD},
                      Instant{milliseconds(2)});
  (*writer)->damaged(Instant{milliseconds(3)});
  REQUIRE((*writer)->close().has_value());
  return tests::support::file_text(path);
}

struct Read {
  int records = 0;
  bool refused = false;
};

Read read(const tests::support::TemporaryFolder& folder, const std::string& text) {
  const std::string path = folder.write("hostile.pcapng", text);
  const auto reader = Reader::open(path);
  Read result;
  if (!reader) {
    CHECK_FALSE(reader.error().message.empty());
    return {0, true};
  }
  Explainer explainer{(*reader)->carrier().value_or(Carrier::kRtu)};
  while (true) {
    const auto next = (*reader)->next();
    if (!next) return {result.records, true};
    if (!*next) return result;
    (void)explainer.explain(**next);
    ++result.records;
  }
}

std::string block(std::uint32_t type, const std::string& body) {
  const auto word = [](std::uint32_t value) {
    std::string text;
    for (int i = 0; i < 4; ++i) text += static_cast<char>((value >> (8 * i)) & 0xFFU);
    return text;
  };
  const auto size = static_cast<std::uint32_t>(body.size() + 12);
  return word(type) + word(size) + body + word(size);
}

}  // namespace

TEST_SUITE("host/link/trace/hostile") {
  TEST_CASE("a trace cut at any octet gives what was whole and says that it is cut") {
    const tests::support::TemporaryFolder folder;
    const std::string text = sound_trace(folder, Carrier::kRtu);
    CHECK(read(folder, text).records == 3);
    int whole = 0;
    for (std::size_t size = 0; size < text.size(); ++size) {
      const Read cut = read(folder, text.substr(0, size));
      CHECK(cut.records < 3);
      whole += cut.refused ? 0 : 1;
    }
    CHECK(whole == 4);  // behind the section, the interface and each packet but the last
  }

  TEST_CASE("any octet changed, in either carrier, is read or refused, never more than there is") {
    const tests::support::TemporaryFolder folder;
    for (const Carrier carrier : {Carrier::kRtu, Carrier::kMbap}) {
      const std::string text = sound_trace(folder, carrier);
      for (std::size_t at = 0; at < text.size(); ++at) {
        for (const int value : {0x00, 0xFF}) {
          std::string changed = text;
          changed[at] = static_cast<char>(value);
          if (read(folder, changed).records > 3) FAIL_CHECK("octet " << at);
        }
      }
    }
  }

  TEST_CASE("blocks of absurd size, endless options and too many interfaces are refused or stepped over") {
    const tests::support::TemporaryFolder folder;
    const std::string text = sound_trace(folder, Carrier::kRtu);
    const std::size_t section = static_cast<unsigned char>(text[4]);
    const std::string head = text.substr(0, section);
    const std::string interface = block(1, std::string("\xFA\0\0\0\0\0\0\0", 8));
    CHECK(read(folder, head + block(0x0BAD, std::string(200'000, 'x')) + text.substr(section)).records == 3);
    CHECK(read(folder, head + block(6, std::string(200'000, 'x'))).refused);
    // Cut within what is stepped over, which a seek doesn't notice; and one that ends otherwise.
    const std::string foreign = block(0x0BAD, std::string(200'000, 'x'));
    CHECK(read(folder, text + foreign).records == 3);
    for (const std::size_t size : {std::size_t{12}, std::size_t{100'000}, foreign.size() - 1}) {
      CAPTURE(size);
      CHECK(read(folder, text + foreign.substr(0, size)).refused);
    }
    CHECK(read(folder, text + foreign.substr(0, foreign.size() - 4) + "wxyz").refused);
    CHECK(read(folder, head + std::string("\x06\0\0\0\xFC\xFF\xFF\xFF", 8)).refused);
    CHECK(read(folder, head + block(1, std::string("\xFA\0\0\0", 4))).refused);
    std::string many = head;
    for (int i = 0; i < 100; ++i) many += interface;
    CHECK(read(folder, many).refused);
    // A packet of an interface that isn't there, and one that claims more than its block holds.
    const std::string of_nobody = std::string("\x09\0\0\0", 4) + std::string(16, '\0');
    CHECK(read(folder, head + interface + block(6, of_nobody)).records == 0);
    const std::string claims = std::string(12, '\0') + std::string("\xFF\xFF\0\0\xFF\xFF\0\0", 8);
    CHECK(read(folder, head + interface + block(6, claims)).records == 0);
    // A clock of 10^-127 s.
    CHECK(read(folder, head + block(1, std::string("\xFA\0\0\0\0\0\0\0\x09\0\x01\0\x7F\0\0\0", 16))).refused);
    CHECK(read(folder, "").refused);
    CHECK(read(folder, std::string(5000, '\0')).refused);
    CHECK_FALSE(Reader::open(folder.path() + "/none").has_value());
    CHECK_FALSE(Reader::open(folder.path()).has_value());
  }

  TEST_CASE("random files never do more than be refused") {
    const tests::support::TemporaryFolder folder;
    const std::string text = sound_trace(folder, Carrier::kMbap);
    std::mt19937 random{20261127};
    for (int round = 0; round < 500; ++round) {
      std::string changed = text;
      for (unsigned i = 0; i < 1 + random() % 8; ++i) {
        changed[random() % changed.size()] = static_cast<char>(random());
      }
      changed.resize(changed.size() - random() % 40);
      (void)read(folder, changed);
    }
  }
}
