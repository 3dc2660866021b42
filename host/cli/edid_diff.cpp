#include "host/cli/commands.hpp"
#include "host/cli/edid_file.hpp"
#include "host/report/json/value.hpp"
#include "host/signal/edid_fields.hpp"

namespace host::cli {
namespace {

using report::json::Value;
using Differences = std::vector<signal::EdidDifference>;

Value json_of(const Differences& differences) {
  Value document;
  document.set("schema", "strapline/edid-diff/1");
  document.set("same", differences.empty());
  Value::Array members;
  for (const auto& difference : differences) {
    Value member;
    member.set("name", difference.name);
    if (difference.left) member.set("left", *difference.left);
    if (difference.right) member.set("right", *difference.right);
    members.push_back(std::move(member));
  }
  document.set("differences", std::move(members));
  return document;
}

report::Document document_of(const Differences& differences, const EdidDiffRequest& request) {
  report::Document document;
  document.title = "EDID " + request.left + " and " + request.right;
  if (differences.empty()) {
    document.nodes.emplace_back(report::Paragraph{"They say the same.", report::Tone::kGood});
    return document;
  }
  report::Table table{{"value", "of the first", "of the second"}, {}};
  for (const auto& difference : differences) {
    table.rows.push_back(
        {{difference.name, difference.left.value_or("not there"), difference.right.value_or("not there")},
         report::Tone::kPlain});
  }
  document.nodes.emplace_back(std::move(table));
  return document;
}

}  // namespace

tl::expected<ExitCode, Failure> run_edid_diff(const EdidDiffRequest& request, const Context& context) {
  const auto left = edid_file(request.left);
  if (!left) return tl::unexpected{left.error()};
  const auto right = edid_file(request.right);
  if (!right) return tl::unexpected{right.error()};
  const Differences differences = diff_edids(left->edid, right->edid);
  const auto written = answer(request.json ? write(json_of(differences))
                                           : to_text(document_of(differences, request),
                                                     text_style(context.global.colour, context.environment)));
  if (!written) return tl::unexpected{written.error()};
  return differences.empty() ? ExitCode::kPass : ExitCode::kFail;
}

}  // namespace host::cli
