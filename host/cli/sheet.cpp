#include "host/expect/sheet/sheet.hpp"

#include "host/cli/commands.hpp"
#include "host/expect/document.hpp"
#include "host/expect/expectation.hpp"
#include "host/report/html.hpp"
#include "host/report/svg.hpp"

namespace host::cli {
namespace {

std::string rendered(const report::Document& sheet, SheetFormat format) {
  switch (format) {
    case SheetFormat::kHtml: return to_html(sheet);
    case SheetFormat::kSvg: return to_svg(sheet);
    case SheetFormat::kText: break;
  }
  return to_text(sheet, {});
}

}  // namespace

tl::expected<ExitCode, Failure> run_sheet(const SheetRequest& request, const Context& context) {
  const auto kit = model::load_kit(request.kit, context.catalogue);
  if (!kit) return tl::unexpected{failure_of(kit.error())};
  const auto expectation = expect::derive(*kit);
  if (!expectation) return tl::unexpected{failure_of(expectation.error())};
  auto file = PendingFile::create(request.path);
  if (!file) return tl::unexpected{file.error()};
  const auto written = file->commit(rendered(expect::sheet::make_sheet(*kit, *expectation), request.format));
  if (!written) return tl::unexpected{written.error()};
  return judge_on_paper(*kit, *expectation, {}).fails ? ExitCode::kFail : ExitCode::kPass;
}

}  // namespace host::cli
