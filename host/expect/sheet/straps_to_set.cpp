#include <algorithm>

#include "host/expect/phrases.hpp"
#include "host/expect/sheet/board_drawing.hpp"
#include "host/expect/sheet/sections.hpp"
#include "host/expect/words.hpp"

namespace host::expect::sheet {
namespace {

using report::Heading;
using report::StrapDrawing;
using report::Table;
using report::Tone;

StrapDrawing enlarged(const model::Strap& strap, const ExpectedStrap& expected) {
  StrapDrawing drawing;
  drawing.id = strap.id;
  drawing.kind =
      strap.kind == model::StrapKind::kJumper ? StrapDrawing::Kind::kJumper : StrapDrawing::Kind::kSwitches;
  drawing.count = strap.count;
  drawing.nets = strap.nets;
  drawing.expected = expected.position.bits;
  drawing.expected_care = bits_that_matter(strap, expected);
  drawing.actual_word.clear();
  return drawing;
}

// "panel-supply 12 V, keypad-power on": what the strap's position gives, function by function.
std::string selects(const Expectation& expectation, const ExpectedStrap& expected) {
  std::string text;
  for (const model::FunctionId id : expected.functions) {
    const auto function = std::ranges::find(expectation.functions, id, &ExpectedFunction::id);
    text += phrase(text.empty() ? "" : "; ", to_text(id));
    if (function == expectation.functions.end() || function->accepted.empty()) continue;
    text += function->used ? phrase(" ", to_text(function->accepted.front())) : std::string(" (not used)");
  }
  return text.empty() ? "nothing" : text;
}

}  // namespace

void add_board(report::Document& sheet, const model::Kit& kit, const Expectation& expectation) {
  sheet.nodes.emplace_back(Heading{"Board, and straps to set with the supply off"});
  sheet.nodes.emplace_back(draw_board(kit, expectation));
  Table table{{"strap", "set", "also right", "gives", "look for"}, {}};
  for (const ExpectedStrap& expected : expectation.straps) {
    const model::Strap& strap = kit.board.straps[expected.strap];
    const bool settable = expected.required && !expected.accepted.empty();
    if (settable) sheet.nodes.emplace_back(enlarged(strap, expected));
    table.rows.push_back({{strap.id, set_text(strap, expected), others_text(strap, expected),
                           selects(expectation, expected), strap.look},
                          settable || !expected.required ? Tone::kPlain : Tone::kFault});
  }
  sheet.nodes.emplace_back(std::move(table));
}

}  // namespace host::expect::sheet
