#include "host/report/strap_shapes.hpp"

#include <algorithm>
#include <string>

#include "host/report/columns.hpp"

namespace host::report {
namespace {

using Length = std::int64_t;

bool bit(unsigned bits, int index) {
  return ((bits >> static_cast<unsigned>(index)) & 1U) != 0;
}

// Lays out along the row (u) and to the left of it (v), in percent of the pitch, and turns it into place.
class Row {
 public:
  explicit Row(const StandingStrap& strap) : strap_{strap} {}

  [[nodiscard]] Spot at(Length u, Length v) const {
    const Length along = u * strap_.pitch / 100;
    const Length left = v * strap_.pitch / 100;
    const auto& [x, y] = strap_.pin_1;
    switch (strap_.turn_degrees) {
      case 90: return {x - left, y + along};
      case 180: return {x - along, y - left};
      case 270: return {x + left, y - along};
      default: return {x + along, y + left};
    }
  }

  [[nodiscard]] RectangleShape box(Length from_u, Length from_v, Length to_u, Length to_v, Length radius,
                                   Role role) const {
    const Spot a = at(from_u, from_v);
    const Spot b = at(to_u, to_v);
    return {{std::min(a.x, b.x), std::min(a.y, b.y)},
            std::max(a.x, b.x) - std::min(a.x, b.x),
            std::max(a.y, b.y) - std::min(a.y, b.y),
            radius * strap_.pitch / 100,
            role};
  }

  // Points at pin 1 from the right of the way along the row, `v` away from the row.
  [[nodiscard]] PolylineShape pin_1_mark(Length v) const {
    return {{at(0, v), at(-28, v - 40), at(28, v - 40)}, true, Role::kPin1};
  }

 private:
  const StandingStrap& strap_;
};

std::vector<Shape> jumper_shapes(const StandingStrap& strap) {
  const Row row{strap};
  std::vector<Shape> shapes;
  shapes.emplace_back(row.box(-50, -50, strap.count * 100 - 50, 50, 10, Role::kFaint));
  for (int cap = 0; cap + 1 < strap.count; ++cap) {
    if (!bit(strap.bits & strap.care, cap)) continue;
    shapes.emplace_back(row.box(cap * 100 - 42, -40, cap * 100 + 142, 40, 30, Role::kCap));
  }
  for (int pin = 0; pin < strap.count; ++pin)
    shapes.emplace_back(CircleShape{row.at(pin * 100, 0), strap.pitch * 22 / 100, Role::kPin});
  shapes.emplace_back(row.pin_1_mark(-56));
  return shapes;
}

std::vector<Shape> bank_shapes(const StandingStrap& strap) {
  const Row row{strap};
  std::vector<Shape> shapes;
  shapes.emplace_back(row.box(-60, -130, strap.count * 100 - 40, 130, 10, Role::kOutline));
  for (int way = 0; way < strap.count; ++way) {
    const Length u = way * 100;
    shapes.emplace_back(row.box(u - 32, -100, u + 32, 100, 0, Role::kFaint));
    if (!bit(strap.care, way)) {
      shapes.emplace_back(LineShape{row.at(u - 32, -100), row.at(u + 32, 100), Role::kFaint});
      shapes.emplace_back(LineShape{row.at(u - 32, 100), row.at(u + 32, -100), Role::kFaint});
    } else if (bit(strap.bits, way)) {
      shapes.emplace_back(row.box(u - 32, 10, u + 32, 100, 0, Role::kCap));
    } else {
      shapes.emplace_back(row.box(u - 32, -100, u + 32, -10, 0, Role::kCap));
    }
  }
  shapes.emplace_back(row.pin_1_mark(-136));
  Spot on = row.at(-72, 60);
  const Length height = strap.pitch * 65 / 100;
  const bool upright = strap.turn_degrees % 180 == 0;
  if (upright) on.y -= height / 2;
  shapes.emplace_back(TextShape{
      on, height, upright ? strap.turn_degrees == 180 ? Anchor::kStart : Anchor::kEnd : Anchor::kMiddle, "ON",
      Role::kStrong});
  return shapes;
}

constexpr Length kType = 2400;       // of pin numbers and nets
constexpr Length kTypeSmall = 2000;  // of nets
constexpr Length kTypeWide = 1400;   // of one small character, on the generous side
constexpr Length kEdge = 1500;
constexpr Length kTitle = 3200;

// Heights above the lower edge of an enlarged strap.
struct Levels {
  Length nets, numbers, pins, all;
};
constexpr Levels kJumperLevels{1200, 4000, 8600, 15'800};
constexpr Levels kBankLevels{0, 1000, 11'000, 21'600};

Length pitch_of(const StrapDrawing& strap) {
  if (strap.kind == StrapDrawing::Kind::kSwitches) return 4200;
  Length widest = 3;
  for (const auto& net : strap.nets) widest = std::max<Length>(widest, columns_of(net));
  return std::max<Length>(5000, widest * kTypeWide + 800);
}

struct Setting {
  std::string word;
  unsigned bits = 0, care = 0;
};

Length add_setting(Drawing& drawing, const StrapDrawing& strap, const Setting& setting, Length left) {
  const bool jumper = strap.kind == StrapDrawing::Kind::kJumper;
  // Caps keep their shape: pins stand as near as caps look right, and labels lie under them.
  const Length pitch = pitch_of(strap);
  const Levels& levels = jumper ? kJumperLevels : kBankLevels;
  const Length first = left + kEdge + (jumper ? std::max<Length>(pitch / 2, 3200) : pitch * 2);
  const Length pins_at = levels.pins;
  StandingStrap standing{strap.kind, strap.count, setting.bits, setting.care, {first, pins_at}, pitch, 0};
  if (jumper) {
    for (int cap = 0; cap + 1 < strap.count; ++cap) {
      if (!bit(setting.bits & setting.care, cap)) continue;
      drawing.shapes.emplace_back(
          RectangleShape{{first + cap * pitch - 1900, pins_at - 1800}, pitch + 3800, 3600, 1200, Role::kCap});
    }
    for (int pin = 0; pin < strap.count; ++pin)
      drawing.shapes.emplace_back(CircleShape{{first + pin * pitch, pins_at}, 950, Role::kPin});
    drawing.shapes.emplace_back(PolylineShape{
        {{first - 2400, pins_at}, {first - 4000, pins_at + 1000}, {first - 4000, pins_at - 1000}},
        true,
        Role::kPin1});
  } else {
    for (auto& shape : strap_shapes(standing)) drawing.shapes.push_back(std::move(shape));
  }
  for (int pin = 0; pin < strap.count; ++pin) {
    const Length x = first + pin * pitch;
    drawing.shapes.emplace_back(
        TextShape{{x, levels.numbers}, kType, Anchor::kMiddle, std::to_string(pin + 1), Role::kStrong});
    if (static_cast<std::size_t>(pin) >= strap.nets.size()) continue;
    drawing.shapes.emplace_back(TextShape{{x, levels.nets},
                                          kTypeSmall,
                                          Anchor::kMiddle,
                                          strap.nets[static_cast<std::size_t>(pin)],
                                          Role::kFaint});
  }
  const std::string position = position_words(strap.kind, strap.count, setting.bits, setting.care);
  drawing.shapes.emplace_back(TextShape{
      {left + 1000, drawing.height - kTitle},
      3200,
      Anchor::kStart,
      setting.word.empty() ? strap.id + "  " + position : strap.id + " " + setting.word + " " + position,
      Role::kStrong});
  const Length title =
      1000 + 2000 * static_cast<Length>(strap.id.size() + setting.word.size() + position.size() + 2);
  return std::max(first - left + (strap.count - 1) * pitch + (jumper ? pitch / 2 : pitch) + 2000, title);
}

}  // namespace

std::string position_words(StrapDrawing::Kind kind, int count, unsigned bits, unsigned care) {
  std::string text;
  if (care == 0) return "any";
  if (kind == StrapDrawing::Kind::kSwitches) {
    for (int way = 0; way < count; ++way) text += !bit(care, way) ? 'x' : bit(bits, way) ? '1' : '0';
    return text;
  }
  for (int cap = 0; cap + 1 < count; ++cap) {
    if (!bit(bits, cap)) continue;
    if (!text.empty()) text += '+';
    text += std::to_string(cap + 1) + '-' + std::to_string(cap + 2);
  }
  return text.empty() ? "open" : text;
}

std::vector<Shape> strap_shapes(const StandingStrap& strap) {
  if (strap.count < 1 || strap.count > 16) return {};
  return strap.kind == StrapDrawing::Kind::kJumper ? jumper_shapes(strap) : bank_shapes(strap);
}

Drawing drawn(const StrapDrawing& strap) {
  Drawing drawing;
  drawing.words.titles = {"strap", "expected", strap.actual_word.empty() ? "read" : strap.actual_word};
  if (strap.count < 1 || strap.count > 16) return drawing;
  drawing.height = (strap.kind == StrapDrawing::Kind::kJumper ? kJumperLevels : kBankLevels).all;
  const bool compares = !strap.actual_word.empty();
  const std::string expected = position_words(strap.kind, strap.count, strap.expected, strap.expected_care);
  drawing.width =
      add_setting(drawing, strap, {compares ? "expected" : "", strap.expected, strap.expected_care}, 0);
  std::string actual;
  if (compares && strap.read_known) {
    const unsigned all = (1U << static_cast<unsigned>(strap.count)) - 1U;
    actual = position_words(strap.kind, strap.count, strap.read, all);
    drawing.width += add_setting(drawing, strap, {strap.actual_word, strap.read, all}, drawing.width);
  }
  drawing.caption = compares ? strap.id + ": expected " + expected + ", " + strap.actual_word + " " +
                                   (actual.empty() ? "not known" : actual)
                             : strap.id + " " + expected;
  drawing.words.rows.push_back({{strap.id, expected, actual}, strap.tone});
  return drawing;
}

}  // namespace host::report
