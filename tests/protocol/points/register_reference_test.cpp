#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

#include <doctest/doctest.h>

#include "protocol/points/layout.hpp"
#include "protocol/points/words.hpp"

namespace points = protocol::points;

namespace {

std::string hex(int number) {
  char text[8];
  std::snprintf(text, sizeof text, "%03Xh", static_cast<unsigned>(number));
  return text;
}

std::string type_name(points::Type type) {
  switch (type) {
    case points::Type::kU16: return "u16";
    case points::Type::kS16: return "s16";
    case points::Type::kU32: return "u32";
    case points::Type::kText8: return "text 8";
    case points::Type::kText16: return "text 16";
    case points::Type::kText32: return "text 32";
  }
  return "?";
}

std::string access_name(points::Access access) {
  switch (access) {
    case points::Access::kRead: return "read";
    case points::Access::kArmed: return "armed";
    case points::Access::kControl: return "control";
  }
  return "?";
}

void add_group(std::string& page, const points::Group& group) {
  page += "\n## " + std::string{group.name} + "\n\nBlock " + hex(group.address) + ": " +
          std::string{group.meaning} + ".\n\n";
  page += "| address | image | table | type | x | access | name | unit | where | meaning |\n";
  page += "|---|---|---|---|---|---|---|---|---|---|\n";
  for (std::size_t i = 0; i < points::kPointCount; ++i) {
    const points::Layout& layout = points::layouts()[i];
    if (layout.address < group.address || layout.address >= group.address + points::kGroupSpan) continue;
    const points::Words& words = points::all_words()[i];
    std::string meaning{words.meaning};
    for (std::size_t n = 0; n < words.choices.size(); ++n) {
      meaning += (n == 0 ? ": " : ", ") + std::to_string(n) + " " + std::string{words.choices[n]};
    }
    const std::string image =
        layout.image == points::kNotInImage ? "-" : hex(points::kImageAddress + layout.image);
    page += "| " + hex(layout.address) + " | " + image + " | " +
            (layout.table == points::Table::kInput ? "input" : "holding") + " | " + type_name(layout.type) +
            " | " + (layout.scale == 0 ? "1" : "10^" + std::to_string(layout.scale)) + " | " +
            access_name(layout.access) + " | " + std::string{words.name} + " | " + std::string{words.unit} +
            " | " + std::string{words.place} + " | " + meaning + " |\n";
  }
}

std::string reference() {
  std::string page = "# Register reference, profile " + std::to_string(points::kProfileMajor) + "." +
                     std::to_string(points::kProfileMinor) + "\n\n";
  page +=
      "Generated from `protocol/points` by its test; `STRAPLINE_UPDATE=1 ctest -R protocol/points` writes it "
      "anew.\n\n"
      "Addresses are PDU addresses (from 0). Input registers are read by function 04, holding registers by "
      "03. "
      "A 32-bit value has its high word first; a text has two octets a word, the first in the high octet. "
      "Value in the unit = register x the factor in column x. No value: FFFFh not fitted, FFFEh asleep, "
      "FFFDh "
      "no edges (signed 8000h, 8001h, 8002h; 32 bits FFFFFFFFh and down; a text starts with FFFFh). A strap "
      "word: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on. Writing any word to "
      "snapshot.latch copies every point into the packed image: " +
      std::to_string(points::image_size()) + " input registers from " + hex(points::kImageAddress) +
      ". Unused addresses of a block read 0; outside the blocks and the image the answer is exception 02.\n\n"
      "Points of access `armed` answer a write with exception 04 until the arming word stands in settings.arm: "
      "the CRC-16/MODBUS over the sixteen octets of identity.serial, as its registers carry them, and the two "
      "of snapshot.boot, high octet first; where that is 0 or above FFFCh, with its highest bit turned. "
      "Another word answers exception 03 and disarms. The leave ends with a reset, with the link, after ten "
      "minutes, and after one without a request. A value outside its limits answers exception 03, and of a "
      "write that holds one nothing is taken.\n";
  for (const points::Group& group : points::groups()) add_group(page, group);
  return page;
}

}  // namespace

TEST_SUITE("protocol/points") {
  TEST_CASE("the register reference says what the table says") {
    const char* source = std::getenv("STRAPLINE_SOURCE");
    const std::string path = std::string{source != nullptr ? source : "."} + "/protocol/points/REGISTERS.md";
    if (std::getenv("STRAPLINE_UPDATE") != nullptr) std::ofstream{path} << reference();
    std::ifstream file{path};
    REQUIRE_MESSAGE(file.good(), path);
    std::ostringstream text;
    text << file.rdbuf();
    CHECK_MESSAGE(text.str() == reference(),
                  "REGISTERS.md is not what the table says; run with STRAPLINE_UPDATE=1");
  }
}
