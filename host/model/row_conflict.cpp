#include "host/model/row_conflict.hpp"

#include <algorithm>
#include <map>
#include <vector>

namespace host::model {
namespace {

/// A position that some pattern of each list matches.
std::optional<Position> shared(std::span<const Pattern> one, std::span<const Pattern> other) {
  for (const Pattern a : one) {
    for (const Pattern b : other) {
      const auto differs = static_cast<std::uint16_t>((a.bits ^ b.bits) & a.care & b.care);
      if (differs == 0) return Position{static_cast<std::uint16_t>(a.bits | b.bits)};
    }
  }
  return std::nullopt;
}

const FunctionRow::Setting* setting_of(const FunctionRow& row, std::size_t strap) {
  const auto found = std::find_if(row.settings.begin(), row.settings.end(),
                                  [&](const auto& setting) { return setting.strap == strap; });
  return found == row.settings.end() ? nullptr : &*found;
}

}  // namespace

std::optional<std::string> shared_position(std::span<const Strap> straps, const FunctionRow& one,
                                           const FunctionRow& other) {
  std::string text;
  for (std::size_t strap = 0; strap < straps.size(); ++strap) {
    const auto* a = setting_of(one, strap);
    const auto* b = setting_of(other, strap);
    if (a == nullptr && b == nullptr) continue;
    const auto& first = a != nullptr ? a->patterns : b->patterns;
    const auto& second = b != nullptr ? b->patterns : a->patterns;
    const auto position = shared(first, second);
    if (!position) return std::nullopt;
    text += (text.empty() ? "" : ", ") + straps[strap].id + " " + to_text(straps[strap], *position);
  }
  return text;
}

}  // namespace host::model
