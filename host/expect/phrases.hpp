#pragma once

#include <algorithm>
#include <concepts>
#include <string>
#include <string_view>
#include <type_traits>

#include "host/model/quantity.hpp"
#include "host/model/quantity_text.hpp"

namespace host::expect {

/// Texts and whole numbers strung together: what sentences are made of.
template <typename... Parts>
[[nodiscard]] std::string phrase(const Parts&... parts) {
  std::string text;
  const auto add = [&text](const auto& part) {
    if constexpr (std::integral<std::decay_t<decltype(part)>>) {
      text += std::to_string(part);
    } else {
      text += std::string_view(part);
    }
  };
  (add(parts), ...);
  return text;
}

/// "3..3.6 V", ">= 2 V", "<= 5 V", "any".
template <typename Q>
[[nodiscard]] std::string limits_text(const model::Bounds<Q>& bounds) {
  if (bounds.min && bounds.max) {
    std::string low = to_text(*bounds.min);
    const std::string high = to_text(*bounds.max);
    const auto unit = [](const std::string& text) {
      return text.substr(std::min(text.find(' '), text.size()));
    };
    if (unit(low) == unit(high)) low.resize(low.size() - unit(low).size());
    return phrase(low, "..", high);
  }
  if (bounds.min) return phrase(">= ", to_text(*bounds.min));
  if (bounds.max) return phrase("<= ", to_text(*bounds.max));
  return "any";
}

}  // namespace host::expect
