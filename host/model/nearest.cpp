#include "host/model/nearest.hpp"

#include <algorithm>
#include <vector>

namespace host::model {
namespace {

/// Optimal string alignment distance.
std::size_t distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> before(b.size() + 1);
  std::vector<std::size_t> above(b.size() + 1);
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) above[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = above[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      row[j] = std::min({above[j] + 1, row[j - 1] + 1, change});
      const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
      if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
    }
    before.swap(above);
    above.swap(row);
  }
  return above[b.size()];
}

/// Whether one is the other cut short.
bool cut_short(std::string_view a, std::string_view b) {
  return std::min(a.size(), b.size()) >= 3 && (a.starts_with(b) || b.starts_with(a));
}

}  // namespace

std::optional<std::string> nearest(std::string_view written, std::span<const std::string_view> names) {
  const std::size_t written_max = 64;  // longer is no slip of the pen
  if (written.empty() || written.size() > written_max) return std::nullopt;
  std::optional<std::string> best;
  std::size_t best_distance = std::max<std::size_t>(2, written.size() / 3) + 1;
  for (const auto name : names) {
    const std::size_t letters = distance(written, name);
    const std::size_t away = cut_short(written, name) ? std::min<std::size_t>(letters, 2) : letters;
    if (away >= best_distance || away >= std::max(written.size(), name.size())) continue;
    best_distance = away;
    best = std::string(name);
  }
  return best;
}

std::optional<std::string> nearest(std::string_view written, std::span<const std::string> names) {
  const std::vector<std::string_view> views(names.begin(), names.end());
  return nearest(written, std::span<const std::string_view>(views));
}

std::string nearest_hint(std::string_view written, std::span<const std::string_view> names,
                         std::string_view what_they_are) {
  std::string hint;
  if (const auto name = nearest(written, names)) hint = "did you mean '" + *name + "'? ";
  hint += std::string(what_they_are) + ":";
  for (const auto name : names) hint += (name == names.front() ? " " : ", ") + std::string(name);
  if (names.empty()) hint += " none";
  return hint;
}

}  // namespace host::model
