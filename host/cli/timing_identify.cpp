#include "host/cli/commands.hpp"
#include "host/cli/timing_answer.hpp"
#include "host/model/quantity_text.hpp"

namespace host::cli {
namespace {

using Candidates = std::vector<signal::Candidate>;

report::json::Value json_of(const Candidates& candidates) {
  report::json::Value document;
  document.set("schema", "strapline/timing-identify/1");
  report::json::Value::Array members;
  for (const auto& candidate : candidates) {
    report::json::Value member;
    report::json::Value::Array names;
    for (const auto& name : candidate.names) names.emplace_back(name);
    member.set("names", std::move(names));
    member.set("distance", candidate.distance);
    member.set("timing", timing_json(candidate.timing));
    members.push_back(std::move(member));
  }
  document.set("candidates", std::move(members));
  return document;
}

std::string raster(model::Pixels columns, model::Pixels lines) {
  return std::to_string(columns.count) + " x " + std::to_string(lines.count);
}

report::Document document_of(const Candidates& candidates) {
  report::Document document;
  document.title = "Timings that what was measured may be";
  if (candidates.empty()) {
    document.nodes.emplace_back(
        report::Paragraph{"None that is known lies within the tolerances.", report::Tone::kFault});
    return document;
  }
  report::Table table{{"distance", "names", "active", "total", "clock", "refresh"}, {}};
  for (const auto& candidate : candidates) {
    const model::Timing& timing = candidate.timing;
    std::string names;
    for (const auto& name : candidate.names) names += (names.empty() ? "" : "; ") + name;
    table.rows.push_back(
        {{std::to_string(candidate.distance), names,
          raster(timing.h_active, timing.v_active) + (timing.interlaced ? "i" : ""),
          raster(timing.h_total(), timing.v_total()), to_text(timing.pixel_clock), to_text(timing.refresh())},
         report::Tone::kPlain});
  }
  document.nodes.emplace_back(std::move(table));
  document.nodes.emplace_back(report::Paragraph{
      "Distance: 0 is exact, 1000 a value at the edge of its tolerance; a wrong polarity adds 3000.",
      report::Tone::kNote});
  return document;
}

}  // namespace

tl::expected<ExitCode, Failure> run_timing_identify(const TimingIdentifyRequest& request,
                                                    const Context& context) {
  const Candidates candidates = signal::identify(request.measured);
  const auto written = answer(request.json ? write(json_of(candidates))
                                           : to_text(document_of(candidates),
                                                     text_style(context.global.colour, context.environment)));
  if (!written) return tl::unexpected{written.error()};
  return candidates.empty() ? ExitCode::kFail : ExitCode::kPass;
}

}  // namespace host::cli
