#include <algorithm>

#include <doctest/doctest.h>

#include "host/model/catalogue.hpp"
#include "tests/host/model/catalogue_copy.hpp"

using namespace host::model;

namespace {

VideoInput vga_with(const char* edid) {
  const CatalogueCopy copy;
  REQUIRE(copy.replace("boards/larch.toml", "edid = \"none\"", edid));
  const auto kit = load_kit("inspector-desk", copy.catalogue());
  REQUIRE(kit);
  const auto input = std::ranges::find(kit->board.inputs, "vga-1", &VideoInput::id);
  REQUIRE(input != kit->board.inputs.end());
  return *input;
}

}  // namespace

TEST_SUITE("host/model/input_edid") {
  TEST_CASE("an input's EDID is loaded unless the file says otherwise, missing, or the maker's own") {
    CHECK(vga_with("").edid == EdidOrigin::kLoaded);
    CHECK(vga_with("edid = \"loaded\"").edid == EdidOrigin::kLoaded);
    CHECK(vga_with("edid = \"loaded\"").edid_timings.empty());
    CHECK(vga_with("edid = \"none\"").edid == EdidOrigin::kNone);
    const VideoInput one = vga_with("edid = \"dmt 10h\"");
    CHECK(one.edid == EdidOrigin::kFixed);
    CHECK(one.edid_timings == std::vector<std::string>{"dmt 10h"});
    const VideoInput two = vga_with("edid = [\"dmt 10h\", \"dmt 04h\"]");
    CHECK(two.edid == EdidOrigin::kFixed);
    CHECK(two.edid_timings == std::vector<std::string>{"dmt 10h", "dmt 04h"});
    CHECK(two.edid_place.line > 0);
  }
}
