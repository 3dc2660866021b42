#include "host/verify/wording.hpp"

#include <fmt/format.h>

#include "host/report/document.hpp"
#include "protocol/points/words.hpp"

namespace host::verify {
namespace {

// Some units are kinds of number, not something that follows a number.
std::string_view suffix(protocol::points::Point point) {
  const std::string_view unit = protocol::points::words(point).unit;
  for (const std::string_view kind :
       {"text", "choice", "bits", "count", "index", "word", "version", "strap"}) {
    if (unit == kind) return {};
  }
  return unit;
}

std::string with_unit(protocol::points::Point point, const std::string& number) {
  const std::string_view unit = suffix(point);
  return unit.empty() ? number : fmt::format("{} {}", number, unit);
}

}  // namespace

std::string value_text(protocol::points::Point point, std::int64_t value) {
  const std::string_view choice = protocol::points::choice(point, value);
  if (!choice.empty()) return std::string{choice};
  return with_unit(point, std::to_string(value));
}

std::string range_text(protocol::points::Point point, const model::Bounds<std::int64_t>& bounds) {
  if (bounds.min && bounds.max) {
    if (*bounds.min == *bounds.max) return value_text(point, *bounds.min);
    return with_unit(point, fmt::format("{}..{}", *bounds.min, *bounds.max));
  }
  if (bounds.min) return with_unit(point, fmt::format(">= {}", *bounds.min));
  if (bounds.max) return with_unit(point, fmt::format("<= {}", *bounds.max));
  return "any";
}

std::string text_of(const protocol::points::Reading& reading) {
  if (reading.kind != protocol::points::Reading::Kind::kText) return {};
  return report::cleaned(reading.text());
}

}  // namespace host::verify
