#include <algorithm>
#include <utility>

#include "host/expect/paper.hpp"
#include "host/expect/phrases.hpp"

namespace host::expect {
namespace {

using model::FindingId;

bool has_family(const std::vector<model::Connector>& connectors, std::string_view family) {
  return std::ranges::any_of(connectors, [&](const model::Connector& one) { return one.family == family; });
}

std::string families(const std::vector<model::Connector>& connectors) {
  std::string text;
  for (const model::Connector& one : connectors) text += phrase(text.empty() ? "" : ", ", one.family);
  return text.empty() ? "none" : text;
}

// The family of the board's connector of this id; empty when the board doesn't describe it.
std::string family_of(const model::Board& board, std::string_view id) {
  const auto connector = std::ranges::find(board.connectors, id, &model::Connector::id);
  return connector == board.connectors.end() ? std::string() : connector->family;
}

void add(Findings& findings, std::string subject, std::string expected, std::string actual,
         std::string consequence) {
  model::Finding finding =
      model::make_finding(FindingId::kCableUnfit, std::move(subject), std::move(expected), std::move(actual));
  finding.consequence = std::move(consequence);
  findings.push_back(std::move(finding));
}

// A way from the board to a part that some cable of the kit must be.
struct Way {
  std::string_view name;
  std::string board_family, far_family;
};

void find_missing(Findings& findings, const model::Kit& kit, const Way& way) {
  if (way.far_family.empty()) return;
  const bool served = std::ranges::any_of(kit.cables, [&](const auto& entry) {
    const model::Cable& cable = entry.second;
    return cable.far_family == way.far_family &&
           (way.board_family.empty() || cable.board_family == way.board_family);
  });
  if (served) return;
  const std::string wanted =
      phrase(way.board_family.empty() ? "the board" : way.board_family, " to ", way.far_family);
  add(findings, phrase("cables.", way.name), wanted, "none",
      phrase("No cable of the kit joins ", wanted, ": the ", way.name, " stays unconnected."));
}

void find_status(Findings& findings, const model::About& about, std::string_view kind) {
  if (about.status == model::Status::kReleased) return;
  model::Finding finding = model::make_finding(FindingId::kKitNotReleased, phrase(kind, ".", about.id),
                                               "released", std::string(to_text(about.status)));
  finding.severity =
      about.status == model::Status::kWithdrawn ? model::Severity::kWarning : model::Severity::kNote;
  finding.consequence =
      phrase("The ", kind, " ", about.id, " is ", to_text(about.status),
             about.status == model::Status::kWithdrawn ? ": it should not be built any more."
                                                       : ": its figures may still change.");
  findings.push_back(std::move(finding));
}

}  // namespace

void find_cable_faults(Findings& findings, const model::Kit& kit) {
  for (const auto& [designator, cable] : kit.cables) {
    const std::string subject = phrase("cables.", designator);
    if (!has_family(kit.board.connectors, cable.board_family)) {
      add(findings, subject, families(kit.board.connectors), cable.board_family,
          phrase("The board end of ", designator, " is a ", cable.board_family,
                 "; the board has no such connector."));
    }
    const bool far_end_fits = has_family(kit.panel.connectors, cable.far_family) ||
                              (kit.keypad && kit.keypad->connector == cable.far_family);
    if (!far_end_fits) {
      add(findings, subject, families(kit.panel.connectors), cable.far_family,
          phrase("The far end of ", designator, " is a ", cable.far_family,
                 "; neither panel nor keypad has one."));
    }
  }
  find_missing(findings, kit,
               {"panel link", family_of(kit.board, kit.board.link.connector), kit.panel.link.connector});
  find_missing(findings, kit,
               {"backlight", family_of(kit.board, kit.board.light.connector), kit.panel.backlight.connector});
  if (kit.keypad) find_missing(findings, kit, {"keypad", {}, kit.keypad->connector});
}

void find_unreleased(Findings& findings, const model::Kit& kit) {
  find_status(findings, kit.about, "kit");
  find_status(findings, kit.panel.about, "panel");
  find_status(findings, kit.board.about, "board");
  find_status(findings, kit.supply.about, "supply");
  if (kit.keypad) find_status(findings, kit.keypad->about, "keypad");
  for (const auto& [designator, cable] : kit.cables) find_status(findings, cable.about, "cable");
}

void sort_by_severity(Findings& findings) {
  Findings sorted;
  sorted.reserve(findings.size());
  for (model::Finding& finding : findings) {
    const auto place = std::ranges::upper_bound(sorted, finding.severity, {}, &model::Finding::severity);
    sorted.insert(place, std::move(finding));
  }
  findings = std::move(sorted);
}

}  // namespace host::expect
