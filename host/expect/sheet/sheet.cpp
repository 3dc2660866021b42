#include "host/expect/sheet/sheet.hpp"

#include "host/expect/document.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/sheet/sections.hpp"

namespace host::expect::sheet {
namespace {

report::Tone tone_of(model::Severity severity) {
  switch (severity) {
    case model::Severity::kDanger: return report::Tone::kDanger;
    case model::Severity::kFault: return report::Tone::kFault;
    case model::Severity::kWarning: return report::Tone::kWarning;
    case model::Severity::kNote: break;
  }
  return report::Tone::kNote;
}

void add_findings(report::Document& sheet, const PaperJudgement& judgement) {
  if (judgement.findings.empty()) return;
  sheet.nodes.emplace_back(report::Heading{"Findings on paper"});
  if (judgement.fails) {
    sheet.nodes.emplace_back(report::Paragraph{
        "This kit can't work as it stands. Don't build it before these are mended.", report::Tone::kFault});
  }
  for (const model::Finding& finding : judgement.findings) {
    sheet.nodes.emplace_back(report::FindingBlock{
        std::string(to_text(finding.severity)), std::string(model::kind_of(finding.id).name), finding.subject,
        finding.expected, finding.actual, finding.consequence, finding.remedy, tone_of(finding.severity)});
  }
}

std::string standing(const model::About& about) {
  std::string text = phrase("Kit ", about.id, ", revision ", about.revision, ", ", to_text(about.status));
  if (!about.released_by.empty()) text += phrase(" by ", about.released_by);
  if (!about.replaces.empty()) text += phrase(", replaces revision ", about.replaces);
  return text;
}

}  // namespace

report::Document make_sheet(const model::Kit& kit, const Expectation& expectation) {
  report::Document sheet;
  sheet.title = phrase("Build sheet: ", kit.about.title);
  sheet.foot = phrase("kit ", kit.about.id, ", revision ", kit.about.revision, ", digest ", kit.digest);
  sheet.nodes.emplace_back(
      report::Paragraph{phrase(standing(kit.about), ". Panel ", kit.panel.about.id, " on board ",
                               kit.board.about.id, ", supply ", kit.supply.about.id, "."),
                        report::Tone::kPlain});
  add_findings(sheet, judge_on_paper(kit, expectation, {}));
  add_cautions(sheet, kit);
  add_panel(sheet, kit);
  add_parts(sheet, kit);
  add_board(sheet, kit, expectation);
  add_wiring(sheet, kit);
  add_supply(sheet, kit, expectation);
  add_video(sheet, kit, expectation);
  add_settings(sheet, kit, expectation);
  add_figures(sheet, kit, expectation);
  return sheet;
}

}  // namespace host::expect::sheet
