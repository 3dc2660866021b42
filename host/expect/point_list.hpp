#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/board.hpp"

namespace host::expect {

/// Gathers what the points of one board must read; what the board has not fitted is left out.
class PointList {
 public:
  /// How a point is judged, besides its limits.
  struct Manner {
    Uncertainty uncertainty = {};
    bool required = true;
    bool needs_awake = false;
    bool can_destroy = false;
  };

  explicit PointList(const model::Board& board) : board_(board) {}

  /// A number within limits.
  void add(protocol::points::Point point, std::optional<std::int64_t> nominal,
           const std::vector<Limit>& limits, std::string why, Manner manner);

  /// A number or choice that must be exactly this, its finding's usual severity applying.
  void exactly(protocol::points::Point point, std::int64_t value, model::FindingId finding, std::string why,
               Manner manner);

  /// A text, cut to what the point holds.
  void text(protocol::points::Point point, std::string_view text, Limit limit, std::string why, Manner manner,
            bool blank_is_well);

  [[nodiscard]] std::vector<ExpectedPoint> take() { return std::move(points_); }

 private:
  const model::Board& board_;
  std::vector<ExpectedPoint> points_;
};

/// A limit of the finding's usual severity, or of the one given.
[[nodiscard]] Limit limit(model::Bounds<std::int64_t> bounds, model::FindingId low, model::FindingId high);
[[nodiscard]] Limit limit(model::Bounds<std::int64_t> bounds, model::FindingId low, model::FindingId high,
                          model::Severity severity);

/// Bounds of quantities as bounds of numbers.
template <typename Q>
[[nodiscard]] model::Bounds<std::int64_t> counts(const model::Bounds<Q>& bounds) {
  model::Bounds<std::int64_t> result;
  if (bounds.min) result.min = bounds.min->count;
  if (bounds.nominal) result.nominal = bounds.nominal->count;
  if (bounds.max) result.max = bounds.max->count;
  return result;
}

}  // namespace host::expect
