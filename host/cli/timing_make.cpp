#include "host/cli/commands.hpp"
#include "host/cli/timing_answer.hpp"
#include "host/model/quantity_text.hpp"
#include "host/signal/find_timing.hpp"

namespace host::cli {
namespace {

report::json::Value json_of(const std::string& name, const model::Timing& timing) {
  report::json::Value document;
  document.set("schema", "strapline/timing/1");
  document.set("name", name);
  document.set("timing", timing_json(timing));
  return document;
}

report::Document document_of(const std::string& name, const model::Timing& timing) {
  report::Document document;
  document.title = name;
  document.nodes.emplace_back(
      report::Paragraph{"Pixel clock " + to_text(timing.pixel_clock) +
                            (timing.interlaced ? ", interlaced; counts of lines are of both fields." : "."),
                        report::Tone::kPlain});
  document.nodes.emplace_back(timing_table(timing));
  return document;
}

}  // namespace

tl::expected<ExitCode, Failure> run_timing_make(const TimingMakeRequest& request, const Context& context) {
  const auto timing = signal::find_timing(request.name);
  if (!timing) return tl::unexpected{Failure{ExitCode::kUsage, {timing.error()}}};
  const auto written = answer(request.json ? write(json_of(request.name, *timing))
                                           : to_text(document_of(request.name, *timing),
                                                     text_style(context.global.colour, context.environment)));
  if (!written) return tl::unexpected{written.error()};
  return ExitCode::kPass;
}

}  // namespace host::cli
