#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "host/report/drawing.hpp"

namespace host::expect::sheet {

/// An upright box of a drawing, in micrometres.
struct Box {
  std::int64_t left = 0, bottom = 0, right = 0, top = 0;

  [[nodiscard]] bool meets(const Box& other) const {
    return left < other.right && other.left < right && bottom < other.top && other.bottom < top;
  }
};

/// The room a line of type takes, on the generous side: seven tenths of its height a character.
[[nodiscard]] Box box_of(const report::TextShape& text);

/// What is taken already, so that labels don't lie on each other.
class LabelPlaces {
 public:
  void take(const Box& box) { taken_.push_back(box); }

  /// The first of the choices that lies on nothing taken, else the first of all; it is taken then.
  /// Precondition: there is a choice.
  [[nodiscard]] std::vector<report::TextShape> choose(
      const std::vector<std::vector<report::TextShape>>& choices);

 private:
  std::vector<Box> taken_;
};

}  // namespace host::expect::sheet
