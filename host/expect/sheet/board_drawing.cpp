#include "host/expect/sheet/board_drawing.hpp"

#include <algorithm>

#include "host/expect/phrases.hpp"
#include "host/expect/sheet/label_places.hpp"
#include "host/expect/sheet/sections.hpp"
#include "host/expect/words.hpp"
#include "host/report/strap_shapes.hpp"

namespace host::expect::sheet {
namespace {

using report::Anchor;
using report::CircleShape;
using report::Drawing;
using report::LineShape;
using report::PolylineShape;
using report::RectangleShape;
using report::Role;
using report::Spot;
using report::StandingStrap;
using report::StrapDrawing;
using report::TextShape;
using report::Tone;
using Length = std::int64_t;  // micrometres

constexpr Length kMargin = 2500;      // round the board
constexpr Length kScaleSpace = 5000;  // below it
constexpr Length kDepth = 5600;       // of a connector, across its pins
constexpr Length kOver = 1300;        // of a connector, beyond its last pins
constexpr Length kBlind = 15'000;     // length of a connector whose pins nobody has counted
constexpr Length kType = 2400, kTypeSmall = 1900;
constexpr Length kStrapPitch = 2540;

struct Direction {
  Length x = 0, y = 0;
};

// From pin 1 along the pins.
Direction along(const model::Connector& connector) {
  if (connector.pin_1 == "right") return {-1, 0};
  if (connector.pin_1 == "bottom") return {0, 1};
  if (connector.pin_1 == "top") return {0, -1};
  return {1, 0};
}

class BoardPainter {
 public:
  explicit BoardPainter(const model::Kit& kit) : kit_{kit} {
    const auto& [width, height] = kit.board.size;
    drawing_.width = width.count + 2 * kMargin;
    drawing_.height = height.count + 2 * kMargin + kScaleSpace;
    drawing_.caption =
        phrase("Board ", kit.board.about.id, " from above, ", to_text(width), " x ", to_text(height),
               ". Places one to one when the bar measures 50 mm; bodies are symbols. "
               "Triangle: pin 1. Solid bar: cap. Solid block: slider. Crossed: either way.");
    drawing_.words.titles = {"id", "what", "pin 1 at", "pin 1", "set"};
    drawing_.shapes.emplace_back(
        RectangleShape{place(0, 0), width.count, height.count, 2000, Role::kOutline});
  }

  void connector(const model::Connector& one) {
    const auto [dx, dy] = along(one);
    const bool level = dy == 0;
    const Length room =
        std::max<Length>(level ? (dx > 0 ? kit_.board.size.width.count - one.x.count : one.x.count)
                               : (dy > 0 ? kit_.board.size.height.count - one.y.count : one.y.count),
                         2000);
    const int gaps = std::max(one.pins - 1, 0);
    Length pitch = one.pins > 12 ? 1250 : 2000;
    if (gaps > 0) pitch = std::min(pitch, std::max<Length>((room - 1500) / gaps, 100));
    const Length length = one.pins > 1 ? gaps * pitch : std::min(kBlind, room - 1500);
    const Spot pin_1 = place(one.x.count, one.y.count);
    const Spot last{pin_1.x + dx * length, pin_1.y + dy * length};
    const Spot corner{std::min(pin_1.x, last.x) - (level ? kOver : kDepth / 2),
                      std::min(pin_1.y, last.y) - (level ? kDepth / 2 : kOver)};
    const Length width = level ? length + 2 * kOver : kDepth;
    const Length height = level ? kDepth : length + 2 * kOver;
    drawing_.shapes.emplace_back(RectangleShape{corner, width, height, 500, Role::kOutline});
    places_.take({corner.x, corner.y, corner.x + width, corner.y + height});
    for (int pin = 0; pin < one.pins; ++pin) {
      drawing_.shapes.emplace_back(CircleShape{{pin_1.x + dx * pitch * pin, pin_1.y + dy * pitch * pin},
                                               std::min<Length>(420, pitch * 32 / 100),
                                               Role::kPin});
    }
    mark_pin_1(pin_1, {dx, dy});
    label_connector(one, pin_1, last, level);
    drawing_.words.rows.push_back(
        {{one.id, what(one), place_text(one.x, one.y),
          phrase(one.pin_1.empty() ? "as marked" : one.pin_1, one.keyed ? "" : ", not keyed"), ""},
         Tone::kPlain});
  }

  void strap(const ExpectedStrap& expected) {
    const model::Strap& one = kit_.board.straps[expected.strap];
    const bool jumper = one.kind == model::StrapKind::kJumper;
    StandingStrap standing;
    standing.kind = jumper ? StrapDrawing::Kind::kJumper : StrapDrawing::Kind::kSwitches;
    standing.count = one.count;
    standing.bits = expected.position.bits;
    const bool settable = expected.required && !expected.accepted.empty();
    standing.care = settable ? bits_that_matter(one, expected) : 0U;
    standing.pin_1 = place(one.x.count, one.y.count);
    standing.pitch = kStrapPitch;
    standing.turn_degrees = one.turn_degrees;
    for (auto& shape : strap_shapes(standing)) drawing_.shapes.push_back(std::move(shape));
    const std::string set = set_text(one, expected);
    take_strap(one);
    drawing_.words.rows.push_back(
        {{one.id, functions_text(expected), place_text(one.x, one.y), turned(one.turn_degrees), set},
         settable || !expected.required ? Tone::kPlain : Tone::kFault});
  }

  // Once every body has its place.
  void label(const ExpectedStrap& expected) {
    const model::Strap& one = kit_.board.straps[expected.strap];
    label_strap(one, set_text(one, expected));
  }

  Drawing finish() {
    constexpr Length kBar = 50'000;
    const Length y = 2000;
    const auto line = [&](Spot from, Spot to) {
      drawing_.shapes.emplace_back(LineShape{from, to, Role::kOutline});
    };
    line({kMargin, y}, {kMargin + kBar, y});
    for (Length x = 0; x <= kBar; x += 10'000) {
      const Length tick = x % kBar == 0 ? 1500 : 800;
      line({kMargin + x, y - tick}, {kMargin + x, y + tick});
    }
    text({kMargin + kBar + 2000, y - 800}, kType, Anchor::kStart, "50 mm", Role::kFaint);
    return std::move(drawing_);
  }

 private:
  [[nodiscard]] static Spot place(Length x, Length y) { return {x + kMargin, y + kMargin + kScaleSpace}; }

  [[nodiscard]] static std::string place_text(model::Micrometres x, model::Micrometres y) {
    return phrase(to_text(x), " right, ", to_text(y), " up");
  }

  [[nodiscard]] static std::string turned(int degrees) {
    switch (degrees) {
      case 90: return "bottom";
      case 180: return "right";
      case 270: return "top";
      default: return "left";
    }
  }

  [[nodiscard]] std::string what(const model::Connector& one) const {
    return phrase(purpose_of(kit_, one.id), " (", one.family,
                  one.pins > 0 ? phrase(", ", one.pins, " pins") : "", ")");
  }

  void text(Spot at, Length height, Anchor anchor, std::string words, Role role) {
    TextShape shape{at, height, anchor, std::move(words), role};
    places_.take(box_of(shape));
    drawing_.shapes.emplace_back(std::move(shape));
  }

  // Ahead of pin 1, in line with the pins.
  void mark_pin_1(Spot pin, Direction direction) {
    const auto [dx, dy] = direction;
    constexpr Length kNear = kOver + 200, kFar = kOver + 1700, kHalf = 750;
    drawing_.shapes.emplace_back(
        PolylineShape{{{pin.x - dx * kNear, pin.y - dy * kNear},
                       {pin.x - dx * kFar - dy * kHalf, pin.y - dy * kFar - dx * kHalf},
                       {pin.x - dx * kFar + dy * kHalf, pin.y - dy * kFar + dx * kHalf}},
                      true,
                      Role::kPin1});
  }

  // On the inner side of a connector that lies level, above one that stands upright.
  void label_connector(const model::Connector& one, Spot pin_1, Spot last, bool level) {
    const std::string purpose = purpose_of(kit_, one.id);
    if (level) {
      const bool high = one.y.count * 2 > kit_.board.size.height.count;
      const Length x = (pin_1.x + last.x) / 2;
      const Length y = high ? pin_1.y - kDepth / 2 - 2700 : pin_1.y + kDepth / 2 + 3200;
      text({x, y}, kType, Anchor::kMiddle, one.id, Role::kStrong);
      text({x, y - 2300}, kTypeSmall, Anchor::kMiddle, purpose, Role::kFaint);
      return;
    }
    const bool right = one.x.count * 2 > kit_.board.size.width.count;
    const Length x = pin_1.x + (right ? kDepth / 2 : -kDepth / 2);
    const Length y = std::max(pin_1.y, last.y) + 6400;
    const Anchor anchor = right ? Anchor::kEnd : Anchor::kStart;
    text({x, y}, kType, anchor, one.id, Role::kStrong);
    text({x, y - 2300}, kTypeSmall, anchor, purpose, Role::kFaint);
  }

  [[nodiscard]] static Length half_of(const model::Strap& one) {
    return one.kind == model::StrapKind::kJumper ? kStrapPitch / 2 : kStrapPitch * 13 / 10;
  }

  // Between its body's middle and its end along the row.
  [[nodiscard]] static Length reach_of(const model::Strap& one) {
    return (one.count - 1) * kStrapPitch / 2 + kStrapPitch * 6 / 10;
  }

  [[nodiscard]] static Spot middle_of(const model::Strap& one) {
    const Spot pin = place(one.x.count, one.y.count);
    const Length half = (one.count - 1) * kStrapPitch / 2;
    switch (one.turn_degrees) {
      case 90: return {pin.x, pin.y + half};
      case 180: return {pin.x - half, pin.y};
      case 270: return {pin.x, pin.y - half};
      default: return {pin.x + half, pin.y};
    }
  }

  void take_strap(const model::Strap& one) {
    const bool level = one.turn_degrees % 180 == 0;
    const Length across = half_of(one) + 1100;  // with the mark of pin 1
    const Length x = level ? reach_of(one) : across, y = level ? across : reach_of(one);
    const auto [middle_x, middle_y] = middle_of(one);
    places_.take({middle_x - x, middle_y - y, middle_x + x, middle_y + y});
  }

  // Id above and position below, both below, both above, or both at a side: where there is room.
  void label_strap(const model::Strap& one, const std::string& set) {
    const bool level = one.turn_degrees % 180 == 0;
    const auto [x, y] = middle_of(one);
    const Length side = (level ? reach_of(one) : half_of(one)) + 1500;
    const Length up = (level ? half_of(one) : reach_of(one)) + 1600;
    const auto line = [](Spot at, Anchor anchor, const std::string& words) {
      return TextShape{at, kType, anchor, words, Role::kStrong};
    };
    const auto at_side = [&](Length from, Anchor anchor) {
      return std::vector{line({x + from, y + 300}, anchor, one.id), line({x + from, y - 2500}, anchor, set)};
    };
    const std::string both = one.id + ' ' + set;
    const std::vector around{line({x, y + up}, Anchor::kMiddle, one.id),
                             line({x, y - up - 2000}, Anchor::kMiddle, set)};
    const std::vector above{line({x, y + up}, Anchor::kMiddle, both)};
    const std::vector below{line({x, y - up - 2000}, Anchor::kMiddle, both)};
    const auto right = at_side(side, Anchor::kStart);
    const auto left = at_side(-side - 2000, Anchor::kEnd);
    const auto choices = level ? std::vector{around, right, above, below, left}
                               : std::vector{right, left, above, below, around};
    for (auto& text : places_.choose(choices)) drawing_.shapes.emplace_back(std::move(text));
  }

  const model::Kit& kit_;
  Drawing drawing_;
  LabelPlaces places_;
};

}  // namespace

report::Drawing draw_board(const model::Kit& kit, const Expectation& expectation) {
  BoardPainter painter{kit};
  for (const auto& connector : kit.board.connectors) painter.connector(connector);
  for (const auto& strap : expectation.straps) painter.strap(strap);
  for (const auto& strap : expectation.straps) painter.label(strap);
  return painter.finish();
}

}  // namespace host::expect::sheet
