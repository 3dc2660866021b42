#include "host/cli/commands.hpp"
#include "host/expect/edid/presented.hpp"
#include "host/expect/expectation.hpp"
#include "host/signal/edid_text.hpp"

namespace host::cli {

tl::expected<ExitCode, Failure> run_edid_make(const EdidMakeRequest& request, const Context& context) {
  const auto kit = model::load_kit(request.kit, context.catalogue);
  if (!kit) return tl::unexpected{failure_of(kit.error())};
  const auto expectation = expect::derive(*kit);
  if (!expectation) return tl::unexpected{failure_of(expectation.error())};
  const auto bytes = expect::edid::presented_edid(*kit, expectation->timing, {request.maker, request.year});
  if (!bytes) return tl::unexpected{Failure{ExitCode::kData, bytes.error()}};
  auto file = PendingFile::create(request.path);
  if (!file) return tl::unexpected{file.error()};
  const auto written = file->commit(request.as_text ? signal::edid_file_text(*bytes) : octets_text(*bytes));
  if (!written) return tl::unexpected{written.error()};
  return ExitCode::kPass;
}

}  // namespace host::cli
