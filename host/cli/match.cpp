#include "host/expect/match.hpp"

#include "host/cli/commands.hpp"
#include "host/model/catalogue_search.hpp"
#include "host/report/document.hpp"
#include "host/report/json/value.hpp"

namespace host::cli {

// A board whose file is broken is told and left out; the others are ranked all the same, and the program ends
// in the complaint's code, for the ranking isn't whole.
tl::expected<ExitCode, Failure> run_match(const MatchRequest& request, const Context& context) {
  const auto panel = model::load_panel(request.panel, context.catalogue);
  if (!panel) return tl::unexpected{failure_of(panel.error())};
  std::vector<model::Board> boards;
  ExitCode broken = ExitCode::kPass;
  for (const std::string& id : model::part_ids(context.catalogue, model::kBoardKind)) {
    auto board = model::load_board(id, context.catalogue);
    if (board) {
      boards.push_back(std::move(*board));
      continue;
    }
    const Failure failure = failure_of(board.error());
    complain(failure);
    broken = failure.code;
  }
  const auto ranking = expect::match(*panel, boards, {request.inputs, request.needs});
  if (!ranking) return tl::unexpected{Failure{ExitCode::kUsage, {ranking.error()}}};
  const std::string text =
      request.json ? write(to_json(*ranking))
                   : to_text(to_document(*ranking), text_style(context.global.colour, context.environment));
  if (const auto written = answer(text); !written) return tl::unexpected{written.error()};
  if (broken != ExitCode::kPass) return broken;
  const bool any = !ranking->matches.empty() && ranking->matches.front().suits;
  return any ? ExitCode::kPass : ExitCode::kFail;
}

}  // namespace host::cli
