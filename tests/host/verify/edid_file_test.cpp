#include "host/verify/edid_file.hpp"

#include <optional>
#include <vector>

#include <doctest/doctest.h>

using host::verify::read_edid;

namespace {

/// Files from memory: `octets` two a register in one file, and refusal of everything past their end.
class FileReader final : public host::verify::Reader {
 public:
  using Words = host::link::Result<std::vector<std::uint16_t>>;

  Words read(host::link::Table, std::uint16_t, std::uint16_t) override { return refusal(); }
  host::link::Result<void> write(std::uint16_t, std::span<const std::uint16_t>) override {
    return host::link::failure(host::link::Fault::kRefused, "refused");
  }
  host::link::Result<host::link::DeviceObjects> identify() override {
    return host::link::failure(host::link::Fault::kRefused, "refused");
  }
  [[nodiscard]] host::link::WireStatistics statistics() const override { return {}; }
  [[nodiscard]] host::link::plan::LineCost line_cost() const override { return {{}, {}, damaged}; }
  Words read_files(std::span<const protocol::pdu::FileRecord> groups) override {
    if (gone) return host::link::failure(host::link::Fault::kGone, "gone");
    if (exception) {
      auto error = host::link::link_error(host::link::Fault::kRefused, "refused");
      error.exception_code = exception;
      return tl::unexpected{error};
    }
    asked.push_back(groups.front());
    const auto& group = groups.front();
    if (group.file != file || 2 * (std::size_t{group.record} + group.count) > octets.size()) return refusal();
    std::vector<std::uint16_t> words;
    for (std::size_t at = 2 * std::size_t{group.record}; words.size() < group.count; at += 2) {
      words.push_back(static_cast<std::uint16_t>(octets[at] << 8 | octets[at + 1]));
    }
    return words;
  }

  std::uint32_t damaged = 0;  // of a million octets
  bool gone = false;
  std::optional<std::uint8_t> exception;
  std::uint16_t file = 18;  // of input 2
  std::vector<std::uint8_t> octets;
  std::vector<protocol::pdu::FileRecord> asked;

 private:
  static Words refusal() { return host::link::failure(host::link::Fault::kRefused, "refused"); }
};

std::vector<std::uint8_t> counting(std::size_t size, std::uint8_t extensions) {
  std::vector<std::uint8_t> octets(size);
  for (std::size_t i = 0; i < size; ++i) octets[i] = static_cast<std::uint8_t>(i * 7);
  octets[126] = extensions;
  return octets;
}

}  // namespace

TEST_SUITE("host/verify/edid_file") {
  TEST_CASE("one block costs one request, two blocks two of unlike length, and every octet is in its place") {
    FileReader reader;
    reader.octets = counting(128, 0);
    CHECK(read_edid(reader, 2).value() == reader.octets);
    CHECK(reader.asked.size() == 1);
    reader.asked.clear();
    reader.octets = counting(256, 1);
    CHECK(read_edid(reader, 2).value() == reader.octets);
    REQUIRE(reader.asked.size() == 2);
    CHECK(reader.asked[0].count != reader.asked[1].count);
  }

  TEST_CASE("on a line that has shown damage a block comes in short pieces, no two in a row alike") {
    FileReader reader;
    reader.damaged = 1'000;
    for (const std::size_t size : {std::size_t{128}, std::size_t{256}}) {
      reader.asked.clear();
      reader.octets = counting(size, size == 256 ? 1 : 0);
      CHECK(read_edid(reader, 2).value() == reader.octets);
      CHECK(reader.asked.size() > size / 64);
      for (std::size_t i = 0; i < reader.asked.size(); ++i) {
        CHECK(reader.asked[i].count <= 14);  // 33 octets of an answer: ln 0.967 / ln 0.999
        CHECK((i == 0 || reader.asked[i].count != reader.asked[i - 1].count));
      }
    }
    // A file that breaks off in its second block has the first.
    reader.octets = counting(180, 1);
    CHECK(read_edid(reader, 2)->size() == 128);
  }

  TEST_CASE(
      "a unit without files or without that input has none, and a lie about extensions costs one request") {
    FileReader reader;
    CHECK(read_edid(reader, 2).value().empty());
    reader.octets = counting(128, 1);
    CHECK(read_edid(reader, 3).value().empty());
    reader.asked.clear();
    CHECK(read_edid(reader, 2).value() == reader.octets);
    CHECK(reader.asked.size() == 2);
    reader.gone = true;
    CHECK(read_edid(reader, 2).error().fault == host::link::Fault::kGone);
  }

  // AP V1.1b3, 7: 01 to 03 refuse a function, an address, a value; 04 is a device that failed, 06 one too
  // busy.
  TEST_CASE("a file that isn't there is none; a unit that fails to read its own is an error") {
    FileReader reader;
    for (std::uint8_t code = 1; code <= 3; ++code) {
      reader.exception = code;
      CHECK(read_edid(reader, 2).value().empty());
    }
    for (std::uint8_t code = 4; code <= 6; ++code) {
      reader.exception = code;
      CHECK(read_edid(reader, 2).error().fault == host::link::Fault::kRefused);
    }
  }
}
