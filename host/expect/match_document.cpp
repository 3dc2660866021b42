#include "host/expect/match.hpp"
#include "host/expect/phrases.hpp"

namespace host::expect {
namespace {

using report::Table;
using report::Tone;

std::string percent(std::int64_t permille) {
  const std::int64_t size = permille < 0 ? -permille : permille;
  return phrase(permille < 0 ? "-" : "", size / 10, ".", size % 10, " %");
}

std::string wanted(const Wants& wants) {
  std::string text;
  for (const auto* words : {&wants.inputs, &wants.features}) {
    for (const std::string& word : *words) text += phrase(text.empty() ? "" : ", ", word);
  }
  return text.empty() ? "nothing beyond the panel" : text;
}

void add_match(report::Document& document, const Match& one) {
  document.nodes.emplace_back(report::Heading{phrase(one.board, ": ", one.title)});
  Table table;
  for (const Refusal& refusal : one.refusals) {
    table.rows.push_back({{phrase("no, ", to_text(refusal.kind)), refusal.subject, refusal.reason,
                           refusal.permille ? percent(*refusal.permille) : std::string()},
                          Tone::kFault});
  }
  for (const Headroom& room : one.headroom) {
    table.rows.push_back(
        {{"room", room.subject, phrase(room.needed, " of ", room.offered), percent(room.permille)},
         Tone::kPlain});
  }
  for (const std::string& remark : one.remarks) table.rows.push_back({{"note", "", remark, ""}, Tone::kNote});
  document.nodes.emplace_back(std::move(table));
}

report::VerdictBlock verdict(const Ranking& ranking) {
  std::string suited;
  for (const Match& one : ranking.matches) {
    if (one.suits) suited += phrase(suited.empty() ? "" : ", ", one.board);
  }
  if (suited.empty()) {
    return {"fail", false,
            phrase("No board of the catalogue drives ", ranking.panel, " as wanted; of ",
                   ranking.matches.size(), " each says above why."),
            "Ask for less, or add a board file to a catalogue of your own (--catalog DIR).", Tone::kFault};
  }
  return {"pass", false, phrase("In this order: ", suited, "."),
          "Write a kit file with the board, cables and a supply; then strapline check it.", Tone::kGood};
}

}  // namespace

report::Document to_document(const Ranking& ranking) {
  report::Document document;
  document.title = phrase("match ", ranking.panel, ": ", ranking.panel_title);
  document.nodes.emplace_back(
      report::Paragraph{phrase("Wanted: ", wanted(ranking.wants), "."), Tone::kPlain});
  Table table{{"rank", "board", "suits", "narrowest margin", "refused for"}, {}};
  for (std::size_t i = 0; i < ranking.matches.size(); ++i) {
    const Match& one = ranking.matches[i];
    std::string kinds;
    for (const Refusal& refusal : one.refusals) {
      const std::string kind(to_text(refusal.kind));
      if (kinds.find(kind) == std::string::npos) kinds += phrase(kinds.empty() ? "" : ", ", kind);
    }
    table.rows.push_back({{std::to_string(i + 1), one.board, one.suits ? "yes" : "no",
                           one.suits ? percent(one.narrowest_permille) : std::string(), kinds},
                          one.suits ? Tone::kGood : Tone::kFault});
  }
  document.nodes.emplace_back(std::move(table));
  for (const Match& one : ranking.matches) add_match(document, one);
  document.nodes.emplace_back(verdict(ranking));
  return document;
}

}  // namespace host::expect
