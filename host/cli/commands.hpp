#pragma once

#include "host/cli/context.hpp"
#include "host/cli/exit_code.hpp"
#include "host/cli/requests.hpp"
#include "host/cli/signal_requests.hpp"

namespace host::cli {

/// Each command writes its answer to standard output and returns how the program ends, or says why there is
/// no answer.
[[nodiscard]] tl::expected<ExitCode, Failure> run_check(const CheckRequest& request, const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_catalog_check(const CatalogCheckRequest& request,
                                                                const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_match(const MatchRequest& request, const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_verify(const VerifyRequest& request,
                                                         const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_ports(const PortsRequest& request, const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_scan(const ScanRequest& request, const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_trace_show(const TraceShowRequest& request,
                                                             const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_trace_extract(const TraceExtractRequest& request,
                                                                const Context& context);

[[nodiscard]] tl::expected<ExitCode, Failure> run_sheet(const SheetRequest& request, const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_card(const CardRequest& request, const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_edid_show(const EdidShowRequest& request,
                                                            const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_edid_make(const EdidMakeRequest& request,
                                                            const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_edid_diff(const EdidDiffRequest& request,
                                                            const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_timing_make(const TimingMakeRequest& request,
                                                              const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_timing_identify(const TimingIdentifyRequest& request,
                                                                  const Context& context);

}  // namespace host::cli
