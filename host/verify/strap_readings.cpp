#include "host/verify/strap_readings.hpp"

#include <algorithm>
#include <bit>

#include "host/report/document.hpp"

namespace host::verify {
namespace {

using model::Evidence;
using model::Position;
using protocol::points::Reading;

std::uint16_t all_bits(const model::Strap& strap) {
  return static_cast<std::uint16_t>((std::uint32_t{1} << strap.bit_count()) - 1U);
}

void read_from_unit(StrapReading& known, const model::Strap& strap, const Snapshot& snapshot) {
  if (strap.evidence == Evidence::kUnread || strap.index >= protocol::points::kStrapCountMax) {
    known.reason = "not-sensed";
    return;
  }
  const Reading* reading = reading_of(snapshot, protocol::points::strap_point(strap.index));
  if (reading == nullptr) {
    known.reason = snapshot.trouble.empty() ? "not-fitted" : "not-read";
  } else if (reading->kind != Reading::Kind::kNumber) {
    known.reason = to_text(reading->unread);
  } else if (const auto word = static_cast<std::uint16_t>(reading->number); can_stand(strap, word)) {
    known.position = Position{word};
    known.evidence = strap.evidence;
  } else {
    known.impossible = true;
    known.word = word;
    known.evidence = strap.evidence;
    known.reason = "impossible";
  }
}

void hear_person(StrapReading& known, const model::Strap& strap, const model::Kit& kit,
                 const Demands& demands) {
  for (const Attestation& attestation : demands.attestations) {
    if (attestation.strap != strap.id) continue;
    known.seen = attestation.position;
    known.seen_by = report::cleaned(attestation.by);
  }
  const auto& accepted = kit.accept.attested;
  const bool counts = std::find(accepted.begin(), accepted.end(), strap.id) != accepted.end();
  if (!known.seen || known.position || known.impossible || !counts) return;
  known.position = known.seen;
  known.evidence = Evidence::kAttested;
  known.reason.clear();
}

}  // namespace

bool can_stand(const model::Strap& strap, std::uint16_t word) {
  if ((word & ~all_bits(strap)) != 0) return false;
  return strap.kind != model::StrapKind::kJumper || (word & (word >> 1)) == 0;
}

std::vector<StrapReading> read_straps(const model::Kit& kit, const Snapshot& snapshot,
                                      const Demands& demands) {
  std::vector<StrapReading> readings(kit.board.straps.size());
  for (std::size_t i = 0; i < readings.size(); ++i) {
    read_from_unit(readings[i], kit.board.straps[i], snapshot);
    hear_person(readings[i], kit.board.straps[i], kit, demands);
  }
  return readings;
}

expect::JointPosition joint_of(const std::vector<StrapReading>& readings) {
  expect::JointPosition joint;
  joint.reserve(readings.size());
  for (const StrapReading& reading : readings) joint.push_back(reading.position);
  return joint;
}

std::vector<std::size_t> straps_of(const model::Function& function) {
  std::vector<std::size_t> straps;
  for (const model::FunctionRow& row : function.rows) {
    for (const model::FunctionRow::Setting& setting : row.settings) straps.push_back(setting.strap);
  }
  std::sort(straps.begin(), straps.end());
  straps.erase(std::unique(straps.begin(), straps.end()), straps.end());
  return straps;
}

std::uint16_t common_bits(const model::Strap& strap, const std::vector<Position>& positions) {
  std::uint16_t differing = 0;
  for (const Position position : positions) {
    differing = static_cast<std::uint16_t>(differing | (position.bits ^ positions.front().bits));
  }
  return static_cast<std::uint16_t>(all_bits(strap) & ~differing);
}

std::string positions_text(const model::Strap& strap, const std::vector<Position>& positions) {
  if (positions.empty()) return "none";
  const std::uint16_t care = common_bits(strap, positions);
  const auto free = static_cast<std::uint16_t>(all_bits(strap) & ~care);
  const bool whole = positions.size() == std::size_t{1} << std::popcount(free);
  if (whole && strap.kind == model::StrapKind::kSwitches) {
    const auto bits = static_cast<std::uint16_t>(positions.front().bits & care);
    return to_text(strap, model::Pattern{care, bits});
  }
  constexpr std::size_t kShown = 3;
  std::string text;
  for (std::size_t i = 0; i < std::min(positions.size(), kShown); ++i) {
    if (i > 0) text += " or ";
    text += to_text(strap, positions[i]);
  }
  if (positions.size() > kShown) text += " or …";
  return text;
}

}  // namespace host::verify
