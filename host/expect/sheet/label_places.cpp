#include "host/expect/sheet/label_places.hpp"

#include <algorithm>

#include "host/report/columns.hpp"

namespace host::expect::sheet {

Box box_of(const report::TextShape& text) {
  const std::int64_t width = report::columns_of(text.text) * text.height * 7 / 10;
  const std::int64_t before = text.anchor == report::Anchor::kStart ? 0
                              : text.anchor == report::Anchor::kEnd ? width
                                                                    : width / 2;
  return {text.at.x - before, text.at.y - text.height / 5, text.at.x - before + width,
          text.at.y + text.height * 4 / 5};
}

std::vector<report::TextShape> LabelPlaces::choose(
    const std::vector<std::vector<report::TextShape>>& choices) {
  const auto is_free = [&](const std::vector<report::TextShape>& choice) {
    return std::ranges::none_of(choice, [&](const report::TextShape& text) {
      const Box box = box_of(text);
      return std::ranges::any_of(taken_, [&](const Box& taken) { return box.meets(taken); });
    });
  };
  const auto found = std::ranges::find_if(choices, is_free);
  const auto& chosen = found == choices.end() ? choices.front() : *found;
  for (const auto& text : chosen) take(box_of(text));
  return chosen;
}

}  // namespace host::expect::sheet
