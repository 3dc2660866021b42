#include <algorithm>
#include <iterator>

#include "host/cli/commands.hpp"
#include "host/cli/link_words.hpp"
#include "host/cli/log.hpp"
#include "host/cli/progress.hpp"
#include "host/cli/signals.hpp"
#include "host/expect/expectation.hpp"
#include "host/link/session.hpp"
#include "host/model/source_file.hpp"
#include "host/report/document.hpp"
#include "host/report/json/read.hpp"
#include "host/verify/acquire.hpp"
#include "host/verify/document.hpp"
#include "host/verify/foreign.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/reader.hpp"
#include "host/verify/saved.hpp"

namespace host::cli {
namespace {

/// Everything known before the unit is asked.
struct Plan {
  model::Kit kit;
  expect::Expectation expectation;
  std::optional<link::LinkUrl> link;  // nothing where readings were saved
  verify::Demands demands;
};

tl::expected<Plan, Failure> prepare(const VerifyRequest& request, const Context& context) {
  std::optional<link::LinkUrl> link;
  if (request.snapshot.empty()) {
    auto parsed = link::parse_link(request.link);
    if (!parsed) return tl::unexpected{link_failure(parsed.error())};
    const auto address = request.address_given ? std::optional{request.address} : std::nullopt;
    if (const auto suits = suits_replay(*parsed, request.trace, address); !suits) {
      return tl::unexpected{suits.error()};
    }
    link = std::move(*parsed);
  }
  auto kit = model::load_kit(request.kit, context.catalogue);
  if (!kit) return tl::unexpected{failure_of(kit.error())};
  auto expectation = expect::derive(*kit);
  if (!expectation) return tl::unexpected{failure_of(expectation.error())};
  Plan plan{std::move(*kit), std::move(*expectation), std::move(link), {}};
  plan.demands.serial = request.serial;
  for (StrapWord word : request.attestations) {
    constexpr std::string_view kGroup = "straps.";
    if (word.strap.starts_with(kGroup)) word.strap.erase(0, kGroup.size());
    const auto seen = on_board(plan.kit.board, word, "--attest");
    if (!seen) return tl::unexpected{seen.error()};
    const model::Strap& strap = plan.kit.board.straps[seen->strap];
    const auto position = parse_position(strap, word.position);
    if (!position) return tl::unexpected{Failure{ExitCode::kUsage, {"--attest: " + position.error()}}};
    plan.demands.attestations.push_back({strap.id, *position, request.by});
  }
  return plan;
}

link::SessionOptions session_options(const VerifyRequest& request, const Plan& plan, const Context& context,
                                     link::trace::Writer* trace) {
  link::SessionOptions options;
  options.trace = trace;
  options.unit_address = static_cast<std::uint8_t>(request.address);
  options.share = request.share;
  options.catalog = simulator_catalogue(*plan.link, context.catalogue);
  const auto& service = plan.kit.board.service;
  options.line.baud = static_cast<std::uint32_t>(service.baud);
  options.line.parity = service.parity == "none"  ? link::Parity::kNone
                        : service.parity == "odd" ? link::Parity::kOdd
                                                  : link::Parity::kEven;
  options.line.stop_bits = link::standard_stop_bits(options.line.parity);
  const protocol::base::Duration turnaround{service.turnaround.count};
  options.turnaround_max = std::max(options.turnaround_max, turnaround);
  options.gap_min = protocol::base::Duration{service.gap.count};
  verify::suit(options, plan.kit.board);
  return options;
}

// The board's input that the kit's source feeds.
std::optional<std::uint16_t> input_of(const model::Kit& kit) {
  const auto& inputs = kit.board.inputs;
  const auto found = std::find_if(inputs.begin(), inputs.end(),
                                  [&](const auto& input) { return input.id == kit.video.input; });
  if (found == inputs.end()) return std::nullopt;
  return static_cast<std::uint16_t>(found - inputs.begin());
}

// The port is given back before this returns, whatever came of it.
link::Result<verify::Snapshot> read_unit(const VerifyRequest& request, const Plan& plan,
                                         const Context& context, link::trace::Writer* trace,
                                         const link::CancelToken& cancel) {
  Progress progress{context.environment.stderr_is_terminal, context.environment.stdout_columns};
  progress.show("asking unit " + std::to_string(request.address) + " on " + report::cleaned(request.link) +
                " ...");
  const auto deadline = link::Deadline::after(request.timeout);
  auto session =
      link::Session::open(*plan.link, session_options(request, plan, context, trace), deadline, cancel);
  if (!session) return tl::unexpected{session.error()};
  log(LogLevel::kInfo,
      "talking to unit " + std::to_string(session->unit_address()) + " on " + session->place());
  verify::SessionReader reader{*session};
  verify::AcquireOptions options;
  options.address = session->unit_address();
  options.owner = static_cast<std::uint16_t>(session->seed() ^ (session->seed() >> 16));
  options.edid_input = input_of(plan.kit);
  options.serial_named = plan.demands.serial.has_value();
  if (plan.kit.board.profile == model::WireProfile::kOwn) options.foreign = &plan.kit.board;
  return verify::acquire(reader, options);
}

// What a unit said once, out of a document.
tl::expected<verify::Snapshot, Failure> saved(const std::string& path) {
  const std::string remedy = "give what strapline verify wrote with --json, or with --report to a .json";
  const auto source = model::read_source(path, {remedy, remedy});
  if (!source) return tl::unexpected{failure_of(source.error())};
  const auto document = report::json::read(source->text);
  if (!document) {
    const auto& refusal = document.error();
    return tl::unexpected{failure_of({source->error({refusal.line, refusal.column}, refusal.what, remedy)})};
  }
  auto snapshot = verify::saved_snapshot(*document);
  if (!snapshot) return tl::unexpected{failure_of({source->error({}, snapshot.error(), remedy)})};
  return std::move(*snapshot);
}

// Whether a unit was asked for and told nothing, which is a result that a station must have on record.
bool leaves_unread(const link::LinkError& error) {
  return error.exit_code == static_cast<int>(ExitCode::kUnavailable) || error.fault == link::Fault::kGone;
}

verify::Snapshot nothing_read(const VerifyRequest& request, const link::LinkError& error) {
  verify::Snapshot snapshot;
  snapshot.unit.address = request.address;
  snapshot.trouble = error.message;
  snapshot.trouble_remedy = error.remedy;
  snapshot.shared_address = error.fault == link::Fault::kSharedAddress;
  snapshot.wire.elapsed_us = error.elapsed.count();
  return snapshot;
}

ExitCode code_of(verify::Verdict verdict) {
  switch (verdict) {
    case verify::Verdict::kPass: return ExitCode::kPass;
    case verify::Verdict::kFail: return ExitCode::kFail;
    case verify::Verdict::kIncomplete: break;
  }
  return ExitCode::kIncomplete;
}

// The first one's code, everyone's words.
void add(Failure& all, Failure more) {
  if (all.code == ExitCode::kPass) all.code = more.code;
  std::move(more.messages.begin(), more.messages.end(), std::back_inserter(all.messages));
}

}  // namespace

tl::expected<ExitCode, Failure> run_verify(const VerifyRequest& request, const Context& context) {
  const auto plan = prepare(request, context);
  if (!plan) return tl::unexpected{plan.error()};
  std::optional<verify::Snapshot> kept;
  if (!plan->link) {
    auto loaded = saved(request.snapshot);
    if (!loaded) return tl::unexpected{loaded.error()};
    kept = std::move(*loaded);
  }
  link::CancelToken cancel;
  const SignalWatch watch{cancel};
  std::vector<PendingFile> files;
  files.reserve(request.reports.size());
  for (const auto& report : request.reports) {
    auto file = PendingFile::create(report.path);
    if (!file) return tl::unexpected{file.error()};
    files.push_back(std::move(*file));
  }

  const auto trace = open_trace(request.trace);
  if (!trace) return tl::unexpected{trace.error()};

  const auto read =
      kept ? link::Result<verify::Snapshot>{*kept} : read_unit(request, *plan, context, trace->get(), cancel);
  const auto traced = close_trace(trace->get());
  if (!read && !leaves_unread(read.error())) {
    return tl::unexpected{link_failure(read.error())};
  }
  const verify::Snapshot snapshot = read ? *read : nothing_read(request, read.error());
  const verify::Judgement judgement = judge(plan->kit, plan->expectation, snapshot, plan->demands);
  const auto text_in = [&](const report::TextStyle& style) {
    return to_text(to_document(plan->kit, plan->expectation, snapshot, judgement), style);
  };
  const auto json = [&] { return write(to_json(plan->kit, snapshot, judgement)); };

  // A full disk takes one file, and neither the others nor the answer.
  Failure failure{ExitCode::kPass, {}};
  for (std::size_t index = 0; index < files.size(); ++index) {
    const bool as_json = request.reports[index].format == ReportFormat::kJson;
    const auto written = files[index].commit(as_json ? json() : text_in({}));
    if (!written) add(failure, written.error());
  }
  const auto written =
      answer(request.json ? json() : text_in(text_style(context.global.colour, context.environment)));
  if (!written) add(failure, written.error());
  if (!read) add(failure, link_failure(read.error()));
  if (!traced) add(failure, traced.error());
  if (failure.code != ExitCode::kPass) return tl::unexpected{std::move(failure)};
  return code_of(judgement.verdict);
}

}  // namespace host::cli
