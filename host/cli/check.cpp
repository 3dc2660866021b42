#include "host/cli/commands.hpp"
#include "host/cli/edid_file.hpp"
#include "host/expect/document.hpp"
#include "host/expect/expectation.hpp"
#include "host/report/json/value.hpp"

namespace host::cli {
namespace {

// An x of a bank stands for the way as it should be: what doesn't matter is left as expected.
model::Position filled(const StrapPattern& given, const expect::Expectation& expectation) {
  const std::uint16_t proposed = expectation.straps[given.strap].position.bits;
  const auto care = given.pattern.care;
  return {static_cast<std::uint16_t>((given.pattern.bits & care) |
                                     (proposed & static_cast<std::uint16_t>(~care)))};
}

}  // namespace

tl::expected<ExitCode, Failure> run_check(const CheckRequest& request, const Context& context) {
  const auto kit = model::load_kit(request.kit, context.catalogue);
  if (!kit) return tl::unexpected{failure_of(kit.error())};
  auto expectation = expect::derive(*kit);
  if (!expectation) return tl::unexpected{failure_of(expectation.error())};
  if (!request.edid.empty()) {
    const auto edid = edid_octets(request.edid);
    if (!edid) return tl::unexpected{edid.error()};
    present(*expectation, *kit, *edid);
  }

  expect::JointPosition given;
  if (!request.straps.empty()) given.resize(kit->board.straps.size());
  for (const auto& word : request.straps) {
    const auto meant = on_board(kit->board, word, "--straps");
    if (!meant) return tl::unexpected{meant.error()};
    given[meant->strap] = filled(*meant, *expectation);
  }
  const std::string text = request.json ? write(to_json(*kit, *expectation, given))
                                        : to_text(to_document(*kit, *expectation, given),
                                                  text_style(context.global.colour, context.environment));
  if (const auto written = answer(text); !written) return tl::unexpected{written.error()};
  return judge_on_paper(*kit, *expectation, given).fails ? ExitCode::kFail : ExitCode::kPass;
}

}  // namespace host::cli
