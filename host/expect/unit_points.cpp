#include "host/expect/phrases.hpp"
#include "host/expect/points.hpp"
#include "protocol/points/words.hpp"

namespace host::expect {
namespace {

using model::FindingId;
using protocol::points::Point;

Limit named(FindingId id) {
  return limit({}, id, id);
}

// The value a choice has; -1, which nothing reads as, when the profile has no such word.
std::int64_t choice_value(Point point, std::string_view word) {
  const auto choices = protocol::points::words(point).choices;
  for (std::size_t i = 0; i < choices.size(); ++i) {
    if (choices[i] == word) return static_cast<std::int64_t>(i);
  }
  return -1;
}

void add_stamp(PointList& points, const model::Kit& kit) {
  const PointList::Manner manner{.required = false};
  const bool may_be_blank = true;
  points.text(Point::kStampKit, kit.about.id, named(FindingId::kStampDiffers),
              "the unit is held against this kit", manner, may_be_blank);
  if (kit.digest.empty()) return;
  points.text(Point::kStampKitDigest, kit.digest, named(FindingId::kStampDiffers),
              phrase("revision ", kit.about.revision, " of this kit, with every file it names"), manner,
              may_be_blank);
}

void add_settings(PointList& points, const model::Kit& kit) {
  const auto& settings = kit.settings;
  const std::string why = "the kit names it";
  if (settings.brightness) {
    points.exactly(Point::kSettingsBrightnessPermille, (settings.brightness->count + 500) / 1000,
                   FindingId::kSettingDiffers, why, {});
  }
  if (settings.power_on) {
    points.exactly(Point::kSettingsPowerOn, static_cast<std::int64_t>(*settings.power_on),
                   FindingId::kSettingDiffers, why, {});
  }
  if (settings.pwm_frequency) {
    points.exactly(Point::kSettingsPwmFrequencyHz, settings.pwm_frequency->count, FindingId::kSettingDiffers,
                   why, {});
  }
}

}  // namespace

void add_unit_points(PointList& points, const model::Kit& kit) {
  points.text(Point::kIdentityBoard, kit.board.about.id, named(FindingId::kBoardDiffers),
              "straps and points mean what this board's file says", {}, false);
  add_stamp(points, kit);
  points.exactly(Point::kPowerState, choice_value(Point::kPowerState, "on"), FindingId::kPowerState,
                 "a unit that shows a picture is on", {.needs_awake = true});
  points.exactly(Point::kFaultsLatched, 0, FindingId::kFaultLatched, "a sound unit has latched no fault", {});
  add_settings(points, kit);
}

}  // namespace host::expect
