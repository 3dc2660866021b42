#include "host/signal/card/card.hpp"

#include "host/cli/commands.hpp"
#include "host/expect/nets/link_path.hpp"
#include "host/expect/nets/route.hpp"
#include "host/signal/card/png.hpp"
#include "host/signal/card/seen.hpp"

namespace host::cli {
namespace {

// The link as the kit's own cable wires it; straight where the cable can't be followed.
signal::card::LinkView wired_view(const model::Kit& kit) {
  auto view = signal::card::healthy_view(kit);
  for (const auto& route : expect::nets::routes(kit)) {
    if (const auto path = link_path(route, kit.panel.link)) view.path = *path;
  }
  return view;
}

}  // namespace

tl::expected<ExitCode, Failure> run_card(const CardRequest& request, const Context& context) {
  const auto kit = model::load_kit(request.kit, context.catalogue);
  if (!kit) return tl::unexpected{failure_of(kit.error())};
  const auto plan = signal::card::plan_card(*kit);
  signal::card::Raster picture = draw_card(plan);
  const auto seen = [&](const signal::card::LinkView& view) {
    return as_seen(picture, plan, view, kit->panel.glass.unlit);
  };
  const auto wired = wired_view(*kit);
  if (request.fault) {
    const auto view = with_fault(wired, *request.fault);
    if (!view) return tl::unexpected{Failure{ExitCode::kUsage, {"--fault: " + view.error()}}};
    picture = seen(*view);
  } else if (auto through = seen(wired); through != seen(signal::card::healthy_view(*kit))) {
    // A sound cable leaves the card as the source sends it, with all its bits.
    picture = std::move(through);
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
