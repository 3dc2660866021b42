#pragma once

#include "host/cli/context.hpp"
#include "host/cli/exit_code.hpp"
#include "host/cli/requests.hpp"

namespace host::cli {

/// Each command writes its answer to standard output and returns how the program ends, or says why there is
/// no answer.
[[nodiscard]] tl::expected<ExitCode, Failure> run_check(const CheckRequest& request, const Context& context);
[[nodiscard]] tl::expected<ExitCode, Failure> run_verify(const VerifyRequest& request,
                                                         const Context& context);

}  // namespace host::cli
