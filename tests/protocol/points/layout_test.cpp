#include "protocol/points/layout.hpp"

#include <set>
#include <string>
#include <utility>

#include <doctest/doctest.h>

#include "protocol/points/words.hpp"

namespace points = protocol::points;

TEST_SUITE("protocol/points") {
  TEST_CASE("every point has words, and no two share a name") {
    std::set<std::string_view> names;
    for (const points::Words& words : points::all_words()) {
      CAPTURE(words.name);
      CHECK_FALSE(words.name.empty());
      CHECK_FALSE(words.place.empty());
      CHECK_FALSE(words.meaning.empty());
      CHECK(names.insert(words.name).second);
      CHECK((words.unit == "choice") == !words.choices.empty());
    }
    CHECK(names.size() == points::kPointCount);
  }

  TEST_CASE("a point's name, its enumerator's place and its group's block agree") {
    CHECK(points::find("rails.panel_out_mv") == points::Point::kRailsPanelOutMv);
    CHECK(points::find("straps.strap_15") == points::strap_point(15));
    CHECK(points::find("settings.pwm_frequency_hz") == points::Point::kSettingsPwmFrequencyHz);
    CHECK_FALSE(points::find("rails.panel_out").has_value());
    for (std::size_t i = 0; i < points::kPointCount; ++i) {
      const points::Words& words = points::all_words()[i];
      CAPTURE(words.name);
      const std::string_view group_name = words.name.substr(0, words.name.find('.'));
      bool found = false;
      for (const points::Group& group : points::groups()) {
        if (group.name != group_name) continue;
        found = true;
        const points::Layout& layout = points::layouts()[i];
        CHECK(layout.address >= group.address);
        CHECK(layout.address + points::register_count(layout.type) <= group.address + points::kGroupSpan);
      }
      CHECK(found);
    }
  }

  TEST_CASE("no two points share a register, and blocks do not overlap") {
    std::set<std::pair<points::Table, int>> taken;
    for (const points::Layout& layout : points::layouts()) {
      for (int i = 0; i < points::register_count(layout.type); ++i) {
        CAPTURE(layout.address);
        CHECK(taken.insert({layout.table, layout.address + i}).second);
      }
    }
    int end = 0;
    for (const points::Group& group : points::groups()) {
      CHECK(group.address >= end);
      CHECK(group.address % points::kGroupSpan == 0);
      end = group.address + points::kGroupSpan;
    }
    CHECK(end <= points::kImageAddress);
  }

  TEST_CASE("the packed image has every point but the controls, in order and without a gap") {
    int next = 0;
    for (const points::Layout& layout : points::layouts()) {
      if (layout.access == points::Access::kControl) {
        CHECK(layout.image == points::kNotInImage);
        continue;
      }
      CHECK(layout.image == next);
      next += points::register_count(layout.type);
    }
    CHECK(points::image_size() == next);
  }

  TEST_CASE("input registers are read only, and what can be written stands in holding registers") {
    for (const points::Layout& layout : points::layouts()) {
      CAPTURE(layout.address);
      CHECK((layout.table == points::Table::kInput) == (layout.access == points::Access::kRead));
    }
  }

  TEST_CASE("a layout's octets are its fields in order, words big-endian") {
    // rails.panel_out_mv: the eighth register of block 140h, by counting in the list of the group.
    const points::Layout& layout = points::layout(points::Point::kRailsPanelOutMv);
    const auto octets = points::octets(layout);
    CHECK(octets[0] == 0x01);
    CHECK(octets[1] == 0x48);
    CHECK(((octets[2] << 8) | octets[3]) == layout.image);
    CHECK(octets[4] == 4);
    CHECK(octets[5] == 0);
    CHECK(octets[6] == 0);
    CHECK(octets[7] == 0);
  }
}
