#include "host/cli/commands.hpp"
#include "host/model/catalogue_audit.hpp"
#include "host/report/document.hpp"
#include "host/report/json/value.hpp"

namespace host::cli {
namespace {

using report::json::Value;

std::string counted(std::size_t count, std::string_view one) {
  return std::to_string(count) + ' ' + std::string(one) + (count == 1 ? "" : "s");
}

// Line by line, since each is cleaned of what would end it.
std::string cleaned_lines(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    out += report::cleaned(text.substr(0, end)) + '\n';
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
  }
  return out;
}

std::string text_of(const model::Audit& audit) {
  std::string out;
  for (const auto& error : audit.errors) out += cleaned_lines(to_text(error));
  for (const auto& warning : audit.warnings) out += "warning: " + cleaned_lines(to_text(warning));
  std::size_t files = 0;
  std::string kinds;
  for (const auto& [folder, count] : audit.files) {
    files += count;
    kinds += (kinds.empty() ? "" : ", ") + std::string(folder) + ' ' + std::to_string(count);
  }
  return out + counted(files, "file") + " (" + kinds + "): " + counted(audit.errors.size(), "error") + ", " +
         counted(audit.warnings.size(), "warning") + ".\n";
}

Value list_of(const model::FileErrors& errors) {
  Value::Array list;
  for (const auto& error : errors) {
    Value one;
    one.set("path", error.path);
    one.set("line", error.place.line);
    one.set("column", error.place.column);
    one.set("what", error.what);
    one.set("remedy", error.remedy);
    list.push_back(std::move(one));
  }
  return list;
}

Value json_of(const std::string& folder, const model::Audit& audit) {
  Value files;
  for (const auto& [kind, count] : audit.files)
    files.set(std::string(kind), static_cast<std::int64_t>(count));
  Value document;
  document.set("schema", "strapline/catalog-check/1");
  document.set("folder", folder);
  document.set("files", std::move(files));
  document.set("errors", list_of(audit.errors));
  document.set("warnings", list_of(audit.warnings));
  return document;
}

}  // namespace

tl::expected<ExitCode, Failure> run_catalog_check(const CatalogCheckRequest& request,
                                                  const Context& context) {
  const auto audit = model::audit_folder(request.folder, context.catalogue);
  if (!audit) return tl::unexpected{failure_of(audit.error())};
  const std::string text = request.json ? write(json_of(request.folder, *audit)) : text_of(*audit);
  if (const auto written = answer(text); !written) return tl::unexpected{written.error()};
  return audit->errors.empty() ? ExitCode::kPass : ExitCode::kData;
}

}  // namespace host::cli
