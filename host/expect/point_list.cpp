#include "host/expect/point_list.hpp"

#include <algorithm>

#include "protocol/points/layout.hpp"

namespace host::expect {
namespace {

bool is_grave(model::Severity severity) {
  return severity == model::Severity::kDanger || severity == model::Severity::kFault;
}

// The tightest of the limits outside which a unit fails.
model::Bounds<std::int64_t> tightest(const std::vector<Limit>& limits) {
  model::Bounds<std::int64_t> bounds;
  for (const Limit& one : limits) {
    if (!is_grave(one.severity)) continue;
    if (one.bounds.min) bounds.min = std::max(bounds.min.value_or(*one.bounds.min), *one.bounds.min);
    if (one.bounds.max) bounds.max = std::min(bounds.max.value_or(*one.bounds.max), *one.bounds.max);
  }
  return bounds;
}

}  // namespace

Limit limit(model::Bounds<std::int64_t> bounds, model::FindingId low, model::FindingId high) {
  return limit(bounds, low, high, model::kind_of(low).severity);
}

Limit limit(model::Bounds<std::int64_t> bounds, model::FindingId low, model::FindingId high,
            model::Severity severity) {
  bounds.nominal.reset();
  return {bounds, severity, low, high};
}

void PointList::add(protocol::points::Point point, std::optional<std::int64_t> nominal,
                    const std::vector<Limit>& limits, std::string why, Manner manner) {
  if (!board_.fitted(point)) return;
  ExpectedPoint expected;
  expected.point = point;
  expected.bounds = tightest(limits);
  expected.bounds.nominal = nominal;
  for (const Limit& one : limits) {
    expected.limits.insert(std::ranges::upper_bound(expected.limits, one.severity, {}, &Limit::severity),
                           one);
  }
  expected.why = std::move(why);
  expected.uncertainty = manner.uncertainty;
  expected.required = manner.required;
  expected.needs_awake = manner.needs_awake;
  expected.can_destroy = manner.can_destroy;
  points_.push_back(std::move(expected));
}

void PointList::exactly(protocol::points::Point point, std::int64_t value, model::FindingId finding,
                        std::string why, Manner manner) {
  add(point, value, {limit({value, {}, value}, finding, finding)}, std::move(why), manner);
}

void PointList::text(protocol::points::Point point, std::string_view text, Limit limit, std::string why,
                     Manner manner, bool blank_is_well) {
  if (!board_.fitted(point)) return;
  add(point, std::nullopt, {limit}, std::move(why), manner);
  const std::size_t room = std::size_t{2} * register_count(protocol::points::layout(point).type);
  points_.back().text = text.substr(0, room);
  points_.back().blank_is_well = blank_is_well;
}

}  // namespace host::expect
