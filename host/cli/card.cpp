#include "host/signal/card/card.hpp"

#include "host/cli/commands.hpp"
#include "host/signal/card/png.hpp"
#include "host/signal/card/seen.hpp"

namespace host::cli {

tl::expected<ExitCode, Failure> run_card(const CardRequest& request, const Context& context) {
  const auto kit = model::load_kit(request.kit, context.catalogue);
  if (!kit) return tl::unexpected{failure_of(kit.error())};
  const auto plan = signal::card::plan_card(*kit);
  signal::card::Raster picture = draw_card(plan);
  if (request.fault) {
    const auto view = with_fault(signal::card::healthy_view(*kit), *request.fault);
    if (!view) return tl::unexpected{Failure{ExitCode::kUsage, {"--fault: " + view.error()}}};
    picture = as_seen(picture, plan, *view, kit->panel.glass.unlit);
  }
  auto file = PendingFile::create(request.path);
  if (!file) return tl::unexpected{file.error()};
  const auto octets = to_png(picture);
  if (octets.empty())
    return tl::unexpected{Failure{ExitCode::kOurs, {"there is no memory for a picture of that size"}}};
  const auto written = file->commit(octets_text(octets));
  if (!written) return tl::unexpected{written.error()};
  return ExitCode::kPass;
}

}  // namespace host::cli
