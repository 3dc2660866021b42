#include "host/cli/program.hpp"

#include "host/cli/command_line.hpp"
#include "host/cli/commands.hpp"
#include "host/cli/help.hpp"
#include "host/cli/log.hpp"

namespace host::cli {
namespace {

using Ended = tl::expected<ExitCode, Failure>;

tl::unexpected<Failure> misused(std::string message) {
  return tl::unexpected{Failure{ExitCode::kUsage, {std::move(message)}}};
}

Ended told(const std::string& text) {
  const auto written = answer(text);
  if (!written) return tl::unexpected{written.error()};
  return ExitCode::kPass;
}

template <typename Request>
Ended run_with(const tl::expected<Request, std::string>& request, const Context& context,
               Ended (*run)(const Request&, const Context&)) {
  if (!request) return misused(request.error());
  return run(*request, context);
}

Ended run_command(const CommandLine& line, const Context& context) {
  switch (*line.command) {
    case CommandId::kCheck: return run_with(check_request(line), context, run_check);
    case CommandId::kCatalogCheck: return run_with(catalog_check_request(line), context, run_catalog_check);
    case CommandId::kMatch: return run_with(match_request(line), context, run_match);
    case CommandId::kSheet: return run_with(sheet_request(line), context, run_sheet);
    case CommandId::kCard: return run_with(card_request(line), context, run_card);
    case CommandId::kEdidShow: return run_with(edid_show_request(line), context, run_edid_show);
    case CommandId::kEdidMake: return run_with(edid_make_request(line), context, run_edid_make);
    case CommandId::kEdidDiff: return run_with(edid_diff_request(line), context, run_edid_diff);
    case CommandId::kTimingMake: return run_with(timing_make_request(line), context, run_timing_make);
    case CommandId::kTimingIdentify:
      return run_with(timing_identify_request(line), context, run_timing_identify);
    case CommandId::kPorts: return run_with(ports_request(line), context, run_ports);
    case CommandId::kScan: return run_with(scan_request(line), context, run_scan);
    case CommandId::kTraceShow: return run_with(trace_show_request(line), context, run_trace_show);
    case CommandId::kTraceExtract: return run_with(trace_extract_request(line), context, run_trace_extract);
    case CommandId::kVerify: return run_with(verify_request(line), context, run_verify);
  }
  return misused("no such command");
}

Ended run(const std::vector<std::string>& words) {
  const auto line = parse(words);
  if (!line) return misused(line.error());
  if (line->has("--help")) {
    if (line->command) return told(help_text(command(*line->command)));
    return told(line->group.empty() ? help_text() : group_help_text(line->group));
  }
  if (line->has("--version")) return told(version_text());

  auto global = global_request(*line);
  if (!global) return misused(global.error());
  if (const auto started = start_log(global->log); !started) {
    return tl::unexpected{Failure{ExitCode::kCantCreate, {started.error()}}};
  }
  for (const auto& folder : global->catalogs) {
    if (const auto found = catalogue_folder(folder); !found) return tl::unexpected{found.error()};
  }
  Context context{std::move(*global), environment_of_process(), {}};
  context.catalogue = catalogue_folders(context.global.catalogs, context.environment);
  for (const auto& folder : context.catalogue) log(LogLevel::kDebug, "catalogue folder " + folder);
  return run_command(*line, context);
}

}  // namespace

int run_program(const std::vector<std::string>& words) {
  const bool has_output = settle_standard_streams();
  Ended ended = has_output ? run(words)
                           : tl::unexpected{Failure{ExitCode::kInputOutput, {"standard output is closed"}}};
  if (ended) return static_cast<int>(*ended);
  complain(ended.error());
  return static_cast<int>(ended.error().code);
}

}  // namespace host::cli
