// Profile 1.0 stands still: tests/vectors/profile-1.0.csv was written down when it was frozen, and is never
// changed with the tables it is held against.
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "protocol/points/layout.hpp"
#include "protocol/points/words.hpp"

namespace points = protocol::points;

namespace {

constexpr std::size_t kPoints = 113;          // of profile 1.0
constexpr std::uint16_t kImageSize = 190;     // registers of its packed image
constexpr std::uint16_t kLayoutCrc = 0x0D04;  // taken from the file, in another language

using Row = std::vector<std::string>;

Row parted(const std::string& line, char at) {
  Row parts(1);
  for (const char one : line) {
    if (one == at) {
      parts.emplace_back();
    } else {
      parts.back() += one;
    }
  }
  return parts;
}

std::vector<Row> shipped() {
  const char* source = std::getenv("STRAPLINE_SOURCE");
  std::ifstream file{std::string{source != nullptr ? source : "."} + "/tests/vectors/profile-1.0.csv"};
  REQUIRE(file.good());
  std::vector<Row> rows;
  std::string line;
  std::getline(file, line);
  REQUIRE(line == "group,name,table,block,offset,image,type,scale,access,unit,choices");
  while (std::getline(file, line)) rows.push_back(parted(line, ','));
  return rows;
}

points::Type type_of(const std::string& name) {
  const Row names{"u16", "s16", "u32", "text 8", "text 16", "text 32"};
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (names[i] == name) return static_cast<points::Type>(i);
  }
  FAIL("no type " << name);
  return {};
}

points::Access access_of(const std::string& name) {
  if (name == "read") return points::Access::kRead;
  return name == "armed" ? points::Access::kArmed : points::Access::kControl;
}

// MODBUS over Serial Line V1.02, 6.2.2, a bit at a time.
std::uint16_t with(std::uint16_t crc, std::uint8_t octet) {
  crc ^= octet;
  for (int bit = 0; bit < 8; ++bit) {
    crc = static_cast<std::uint16_t>((crc & 1U) != 0 ? (crc >> 1U) ^ 0xA001U : crc >> 1U);
  }
  return crc;
}

}  // namespace

TEST_SUITE("protocol/points/frozen") {
  TEST_CASE("no point of profile 1.0 has moved or changed") {
    CHECK(points::kProfileMajor == 1);
    const std::vector<Row> rows = shipped();
    REQUIRE(rows.size() == kPoints);
    CHECK(points::kPointsByMinor[0] == kPoints);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const Row& row = rows[i];
      REQUIRE(row.size() == 11);
      const points::Layout& now = points::layouts()[i];
      const points::Words& words = points::all_words()[i];
      CAPTURE(words.name);
      CHECK(words.name == row[0] + "." + row[1]);
      CHECK(now.table == (row[2] == "input" ? points::Table::kInput : points::Table::kHolding));
      CHECK(now.address == std::stoi(row[3], nullptr, 16) + std::stoi(row[4]));
      CHECK(now.image == (row[5] == "-" ? points::kNotInImage : std::stoi(row[5])));
      CHECK(now.type == type_of(row[6]));
      CHECK(now.scale == std::stoi(row[7]));
      CHECK(now.access == access_of(row[8]));
      CHECK(words.unit == row[9]);
      // A choice keeps its values; a minor version may add some behind them.
      const Row choices = row[10].empty() ? Row{} : parted(row[10], '|');
      REQUIRE(words.choices.size() >= choices.size());
      for (std::size_t n = 0; n < choices.size(); ++n) CHECK(words.choices[n] == choices[n]);
    }
  }

  TEST_CASE("what came later stands behind it, in the image as well") {
    for (std::size_t i = kPoints; i < points::kPointCount; ++i) {
      CHECK((points::layouts()[i].image == points::kNotInImage || points::layouts()[i].image >= kImageSize));
    }
    CHECK(points::image_size() >= kImageSize);
    for (std::size_t minor = 1; minor < points::kPointsByMinor.size(); ++minor) {
      CHECK(points::kPointsByMinor.at(minor) > points::kPointsByMinor.at(minor - 1));
    }
    if (points::kPointCount == kPoints) CHECK(points::image_size() == kImageSize);
  }

  TEST_CASE("the CRC of its layout is the one that shipped") {
    std::uint16_t crc = 0xFFFF;
    for (const points::Layout& layout : points::layouts().first(kPoints)) {
      for (const std::uint8_t octet : points::octets(layout)) crc = with(crc, octet);
    }
    CHECK(crc == kLayoutCrc);
  }
}
