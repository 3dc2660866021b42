#include "host/expect/words.hpp"

#include <algorithm>
#include <array>
#include <string_view>

#include "host/expect/phrases.hpp"
#include "protocol/points/words.hpp"

namespace host::expect {
namespace {

// Some units are kinds of number, not something that follows one.
std::string_view suffix(protocol::points::Point point) {
  const std::string_view unit = protocol::points::words(point).unit;
  constexpr std::array<std::string_view, 8> kKinds = {"text",  "choice", "bits",    "count",
                                                      "index", "word",   "version", "strap"};
  return std::ranges::find(kKinds, unit) == kKinds.end() ? unit : std::string_view();
}

bool accepts(const ExpectedStrap& expected, model::Position position) {
  return std::ranges::find(expected.accepted, position) != expected.accepted.end();
}

}  // namespace

std::uint16_t bits_that_matter(const model::Strap& strap, const ExpectedStrap& expected) {
  std::uint16_t care = 0;
  for (unsigned n = 0; n < strap.bit_count(); ++n) {
    const auto bit = static_cast<std::uint16_t>(1U << n);
    const bool free = strap.kind == model::StrapKind::kSwitches &&
                      std::ranges::all_of(expected.accepted, [&](model::Position position) {
                        return accepts(expected, {static_cast<std::uint16_t>(position.bits ^ bit)});
                      });
    if (!free) care |= bit;
  }
  return care;
}

std::string set_text(const model::Strap& strap, const ExpectedStrap& expected) {
  if (!expected.required) return "any";
  if (expected.accepted.empty()) return "none suits";
  const std::uint16_t care = bits_that_matter(strap, expected);
  return to_text(strap, model::Pattern{care, static_cast<std::uint16_t>(expected.position.bits & care)});
}

std::string others_text(const model::Strap& strap, const ExpectedStrap& expected) {
  if (!expected.required || expected.accepted.empty()) return {};
  const std::uint16_t care = bits_that_matter(strap, expected);
  std::vector<std::uint16_t> told = {static_cast<std::uint16_t>(expected.position.bits & care)};
  std::string text;
  for (const model::Position position : expected.accepted) {
    const auto bits = static_cast<std::uint16_t>(position.bits & care);
    if (std::ranges::find(told, bits) != told.end()) continue;
    told.push_back(bits);
    text += phrase(text.empty() ? "or " : ", ", to_text(strap, model::Pattern{care, bits}));
  }
  return text;
}

std::string functions_text(const ExpectedStrap& expected) {
  std::string text;
  for (const model::FunctionId id : expected.functions) text += phrase(text.empty() ? "" : ", ", to_text(id));
  return text.empty() ? "nothing" : text;
}

std::string limits_text(const ExpectedPoint& expected) {
  if (!expected.text.empty()) return expected.text;
  const auto& [min, nominal, max] = expected.bounds;
  const auto value = [&](std::int64_t number) {
    const auto choice = protocol::points::choice(expected.point, number);
    return choice.empty() ? std::to_string(number) : std::string(choice);
  };
  std::string text;
  if (min && max) {
    text = *min == *max ? value(*min) : phrase(*min, "..", *max);
  } else if (min) {
    text = phrase(">= ", *min);
  } else if (max) {
    text = phrase("<= ", *max);
  } else {
    text = nominal ? value(*nominal) : "any";
  }
  const std::string_view unit = suffix(expected.point);
  return unit.empty() ? text : phrase(text, " ", unit);
}

std::string_view origin_text(const SourceView& source) {
  if (source.given) return "given";
  switch (source.origin) {
    case model::EdidOrigin::kLoaded: return "loaded";
    case model::EdidOrigin::kNone: return "none";
    case model::EdidOrigin::kFixed: return "fixed";
  }
  return "loaded";
}

}  // namespace host::expect
