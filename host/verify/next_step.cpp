#include "host/verify/next_step.hpp"

#include <algorithm>
#include <string_view>

#include <fmt/format.h>

#include "protocol/points/words.hpp"

namespace host::verify {
namespace {

using protocol::points::Point;

const Item* first_with(const std::vector<const Item*>& open, std::string_view reason) {
  const auto found =
      std::find_if(open.begin(), open.end(), [&](const Item* item) { return item->reason == reason; });
  return found == open.end() ? nullptr : *found;
}

std::string wake(const model::Kit& kit, const Snapshot& snapshot) {
  const auto state = number_of(snapshot, Point::kPowerState);
  const std::string_view name =
      state ? protocol::points::choice(Point::kPowerState, *state) : std::string_view{};
  if (name == "no-signal") {
    return fmt::format(
        "The unit has no signal; the cause is outside it: connect the source to {} and switch it on, "
        "then verify again.",
        kit.video.input);
  }
  return fmt::format("The unit is asleep ({}); wake it and give it its source on {}, then verify again.",
                     name.empty() ? "state not known" : name, kit.video.input);
}

std::string look_at(const model::Kit& kit, const Item& item) {
  constexpr std::string_view kPrefix = "straps.";
  if (!item.subject.starts_with(kPrefix)) return fmt::format("Find out {} and verify again.", item.subject);
  const std::string id = item.subject.substr(kPrefix.size());
  const model::Strap* strap = kit.board.strap(id);
  const std::string where = strap == nullptr || strap->look.empty() ? "" : fmt::format(" ({})", strap->look);
  const auto& accepted = kit.accept.attested;
  if (std::find(accepted.begin(), accepted.end(), id) == accepted.end()) {
    return fmt::format(
        "Look at {}{}: it must stand at {}. "
        "A person's word counts only where the kit lists {} under [accept] attested.",
        id, where, item.expected, id);
  }
  return fmt::format(
      "Look at {}{}: it must stand at {}. Then verify again with --attest {}=POSITION --by NAME.", id, where,
      item.expected, id);
}

}  // namespace

std::string next_step(const model::Kit& kit, const Snapshot& snapshot, const std::vector<const Item*>& open) {
  if (first_with(open, "asleep") != nullptr) return wake(kit, snapshot);
  for (const Item* item : open) {
    if (item->reason == "not-sensed" && item->subject.starts_with("straps.")) return look_at(kit, *item);
  }
  const Item& item = *open.front();
  if (item.reason == "within-uncertainty") {
    return fmt::format("{} reads {}, too near a limit for the board's own accuracy: measure it with a meter.",
                       item.subject, item.actual);
  }
  if (item.reason == "not-measured") {
    return fmt::format(
        "{} can destroy a part, so it counts only when it is measured: measure the rail with a meter.",
        item.subject);
  }
  if (item.reason == "no-edges") {
    return fmt::format("{} has no edges to measure: set a brightness between the ends, then verify again.",
                       item.subject);
  }
  if (item.reason == "not-fitted") {
    return fmt::format("The unit does not report {}: check that its board and firmware are those of the kit.",
                       item.subject);
  }
  return fmt::format("{} is not known ({}): verify again.", item.subject, item.reason);
}

}  // namespace host::verify
