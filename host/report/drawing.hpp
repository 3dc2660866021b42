#pragma once

#include <cstdint>
#include <string>
#include <variant>
#include <vector>

namespace host::report {

/// A place in a drawing: micrometres to the right of and above its lower left corner.
struct Spot {
  std::int64_t x = 0, y = 0;
  friend bool operator==(const Spot&, const Spot&) = default;
};

/// What a shape stands for; a renderer chooses strokes and fills so that black and white tell them apart.
enum class Role {
  kOutline,  // edge of a part
  kStrong,   // what must catch the eye
  kFaint,    // what may stay in the background
  kCap,      // a cap on its pins, the slider of a switch: solid
  kPin,      // a pin: a hole that shows on a cap too
  kPin1      // the mark of pin 1: solid
};

enum class Anchor { kStart, kMiddle, kEnd };

struct RectangleShape {
  Spot corner;  // the lower left one
  std::int64_t width = 0, height = 0;
  std::int64_t radius = 0;  // of its corners
  Role role = Role::kOutline;
};

struct LineShape {
  Spot from, to;
  Role role = Role::kOutline;
};

struct CircleShape {
  Spot centre;
  std::int64_t radius = 0;
  Role role = Role::kPin;
};

struct PolylineShape {
  std::vector<Spot> spots;
  bool closed = false;
  Role role = Role::kOutline;
};

struct TextShape {
  Spot at;                  // on the text's base line
  std::int64_t height = 0;  // of the type
  Anchor anchor = Anchor::kStart;
  std::string text;
  Role role = Role::kStrong;
};

using Shape = std::variant<RectangleShape, LineShape, CircleShape, PolylineShape, TextShape>;

}  // namespace host::report
