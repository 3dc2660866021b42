#include "host/verify/circumstances.hpp"

#include <utility>

#include <fmt/format.h>

#include "host/report/document.hpp"
#include "host/verify/wording.hpp"

namespace host::verify {
namespace {

using model::FindingId;
using model::make_finding;

void judge_line(Circumstances& found, const Snapshot& snapshot) {
  if (!snapshot.wire.gate_broken) return;
  found.no_ground = true;
  found.findings.push_back(make_finding(
      FindingId::kLineBroken, "link", "at most 10 % bad frames",
      fmt::format("{} bad frames in {} transactions", snapshot.wire.bad_frames, snapshot.wire.transactions)));
}

// The serial number that was read together with everything else, as the unit sent it: cleaned, another's
// could look the same.
std::string serial_of(const Snapshot& snapshot) {
  const auto* reading = reading_of(snapshot, protocol::points::Point::kIdentitySerial);
  if (reading == nullptr) return snapshot.unit.serial;
  return reading->kind == protocol::points::Reading::Kind::kText ? std::string{reading->text()}
                                                                 : std::string{};
}

void judge_serial(Circumstances& found, const Snapshot& snapshot, const Demands& demands) {
  if (!demands.serial) return;
  const std::string serial = serial_of(snapshot);
  if (serial == *demands.serial) return;
  found.no_ground = true;
  found.findings.push_back(make_finding(FindingId::kWrongUnit, "identity.serial",
                                        report::cleaned(*demands.serial),
                                        serial.empty() ? "no serial number" : report::cleaned(serial)));
}

void judge_consistency(Circumstances& found, const model::Kit& kit, const Snapshot& snapshot) {
  const std::string wanted = "one consistent set";
  const std::string actual{to_text(snapshot.consistency)};
  const std::string& accepted_because = kit.board.loose_accepted_because;
  switch (snapshot.consistency) {
    case Consistency::kLatched:
    case Consistency::kBracketed: break;
    case Consistency::kTorn:
      found.not_whole = true;
      if (!snapshot.trouble.empty()) break;  // the unit's death says it all
      found.findings.push_back(make_finding(FindingId::kSnapshotTorn, "snapshot", wanted, actual));
      break;
    case Consistency::kLoose:
      found.not_whole = accepted_because.empty();
      found.findings.push_back(make_finding(FindingId::kSnapshotLoose, "snapshot", wanted, actual));
      if (!accepted_because.empty()) {
        found.findings.back().severity = model::Severity::kNote;
        found.findings.back().consequence =
            fmt::format("Accepted by the board file, because {}.", report::cleaned(accepted_because));
        found.findings.back().remedy = "Nothing to do for this board.";
      }
      break;
  }
}

// A remedy of the link as the first half of what to do.
std::string as_step(std::string_view remedy) {
  std::string text = report::cleaned(remedy);
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') {
    text.front() = static_cast<char>(text.front() - 'a' + 'A');
  }
  return text + "; then verify again.";
}

}  // namespace

Circumstances look_at_circumstances(const model::Kit& kit, const Snapshot& snapshot, const Demands& demands) {
  Circumstances found;
  judge_line(found, snapshot);
  judge_serial(found, snapshot, demands);
  if (!snapshot.trouble.empty()) {
    found.no_ground = true;
    const FindingId id = snapshot.shared_address   ? FindingId::kAddressShared
                         : snapshot.points.empty() ? FindingId::kUnitSilent
                                                   : FindingId::kUnitDied;
    found.findings.push_back(
        make_finding(id, "unit", "answers to the end", report::cleaned(snapshot.trouble)));
    if (!snapshot.trouble_remedy.empty()) {
      found.findings.back().remedy = as_step(snapshot.trouble_remedy);
    }
  }
  judge_consistency(found, kit, snapshot);
  return found;
}

}  // namespace host::verify
