#include "host/verify/edid_item.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "host/report/document.hpp"
#include "host/signal/edid_read.hpp"

namespace host::verify {
namespace {

using model::Evidence;
using model::FindingId;
using signal::EdidFault;
using signal::EdidRule;

constexpr std::size_t kExtensionCount = 126;
constexpr std::size_t kSizeMax = 2 * signal::kEdidBlockSize;
constexpr std::size_t kTextMax = 600;

// One extension is read; that there may be more is no fault of the EDID's.
bool is_of_reading(const EdidFault& fault, const std::vector<std::uint8_t>& edid) {
  return fault.rule == EdidRule::kExtensionCount && edid.size() == kSizeMax && edid[kExtensionCount] > 1;
}

// What is wrong with the octets themselves: length, header, checksums, number of extensions. How descriptors
// and data blocks are formed shows in what a source chooses.
std::vector<EdidFault> damage_of(const std::vector<std::uint8_t>& edid) {
  auto faults = signal::read_edid(edid).faults;
  std::erase_if(faults, [&](const EdidFault& fault) {
    switch (fault.rule) {
      case EdidRule::kLength:
      case EdidRule::kHeader:
      case EdidRule::kChecksum:
      case EdidRule::kExtensionCount: return is_of_reading(fault, edid);
      default: return true;
    }
  });
  return faults;
}

bool has_wrong_checksum(const std::vector<EdidFault>& damage) {
  return std::any_of(damage.begin(), damage.end(),
                     [](const EdidFault& fault) { return fault.rule == EdidRule::kChecksum; });
}

std::string damage_text(const EdidFault& fault) {
  return fmt::format("octet {}: {}, where {} is right", fault.offset, fault.found, fault.right);
}

std::string safe(std::string_view text) {
  return report::cleaned(text.substr(0, kTextMax));
}

void judge_octets(JudgedPoint& judged, const expect::JudgedEdid& chosen,
                  const std::vector<EdidFault>& damage) {
  Item& item = judged.item;
  item.actual = damage.empty() ? safe(chosen.actual) : safe("damaged, gives " + chosen.actual);
  item.evidence = Evidence::kDeclared;
  item.state = State::kMatch;
  if (!damage.empty() && !chosen.finding) {
    model::Finding finding = make_finding(FindingId::kEdidDamaged, item.subject, item.expected, item.actual);
    finding.severity = model::Severity::kWarning;
    finding.consequence = safe(fmt::format(
        "The EDID is damaged ({}); a source that minds that falls back to another timing, or leaves out what "
        "the damaged block tells.",
        damage_text(damage.front())));
    judged.findings.push_back(std::move(finding));
  }
  if (!chosen.finding) return;
  model::Finding finding = *chosen.finding;
  finding.subject = item.subject;
  finding.actual = item.actual;
  finding.consequence = damage.empty() ? safe(finding.consequence)
                                       : safe(fmt::format("The EDID is damaged ({}). {}",
                                                          damage_text(damage.front()), finding.consequence));
  const bool grave =
      finding.severity == model::Severity::kDanger || finding.severity == model::Severity::kFault;
  if (grave) item.state = State::kMismatch;
  judged.findings.push_back(std::move(finding));
}

}  // namespace

std::optional<JudgedPoint> judge_edid_read(const model::Kit& kit, const expect::Expectation& expectation,
                                           const Snapshot& snapshot) {
  const auto& inputs = kit.board.inputs;
  const auto input =
      std::find_if(inputs.begin(), inputs.end(), [&](const auto& one) { return one.id == kit.video.input; });
  if (input == inputs.end()) return std::nullopt;

  const expect::JudgedEdid chosen = expect::judge_edid(expectation, kit, snapshot.edid);
  JudgedPoint judged;
  Item& item = judged.item;
  item.subject = "edid." + input->id;
  item.expected = chosen.expected;
  if (snapshot.edid.empty()) {
    const bool is_told =
        kit.board.profile != model::WireProfile::kOwn && input->edid != model::EdidOrigin::kNone;
    const bool was_lost = snapshot.edid_unreadable || !snapshot.trouble.empty();
    item.reason = was_lost ? "not-read" : "not-fitted";
    item.required = snapshot.edid_unreadable || (was_lost && is_told);
    return judged;
  }
  const std::vector<EdidFault> damage = damage_of(snapshot.edid);
  if (snapshot.wire.bad_frames > 0 && has_wrong_checksum(damage)) {
    item.reason = "not-read";
    return judged;
  }
  judge_octets(judged, chosen, damage);
  return judged;
}

}  // namespace host::verify
