#include "host/cli/commands.hpp"
#include "host/cli/edid_file.hpp"
#include "host/report/json/value.hpp"
#include "host/signal/edid_fields.hpp"
#include "host/signal/hex.hpp"

namespace host::cli {
namespace {

using report::json::Value;

// "36h"; an offset of an extension has more digits.
std::string place(std::size_t offset) {
  std::string high;
  if (offset > 0xff) {
    high = signal::hex(static_cast<std::uint8_t>(offset >> 8U));
    high.pop_back();
  }
  return high + signal::hex(static_cast<std::uint8_t>(offset & 0xffU));
}

Value json_of(const EdidFile& file) {
  Value document;
  document.set("schema", "strapline/edid/1");
  document.set("verdict", file.fails() ? "fail" : "pass");
  Value::Array fields;
  for (const auto& field : edid_fields(file.edid)) {
    Value member;
    member.set("name", field.name);
    member.set("value", field.value);
    member.set("offset", static_cast<std::int64_t>(field.offset));
    fields.push_back(std::move(member));
  }
  document.set("fields", std::move(fields));
  Value::Array faults;
  for (const auto& fault : file.faults) {
    Value member;
    member.set("rule", to_text(fault.rule));
    member.set("severity", to_text(fault.severity));
    member.set("offset", static_cast<std::int64_t>(fault.offset));
    member.set("found", fault.found);
    member.set("right", fault.right);
    faults.push_back(std::move(member));
  }
  document.set("faults", std::move(faults));
  return document;
}

report::Document document_of(const EdidFile& file, const std::string& path) {
  report::Document document;
  document.title = "EDID " + path;
  report::Table values{{"offset", "value", "reads"}, {}};
  for (const auto& field : edid_fields(file.edid))
    values.rows.push_back({{place(field.offset), field.name, field.value}, report::Tone::kPlain});
  document.nodes.emplace_back(std::move(values));
  if (!file.faults.empty()) {
    document.nodes.emplace_back(report::Heading{"What is wrong with it"});
    report::Table faults{{"offset", "rule", "found", "right"}, {}};
    for (const auto& fault : file.faults) {
      faults.rows.push_back(
          {{place(fault.offset), std::string{to_text(fault.rule)}, fault.found, fault.right},
           fault.severity == model::Severity::kFault ? report::Tone::kFault : report::Tone::kWarning});
    }
    document.nodes.emplace_back(std::move(faults));
  }
  const bool fails = file.fails();
  document.nodes.emplace_back(report::VerdictBlock{
      fails ? "fail" : "pass", false,
      fails ? "Something in it breaks the standard; a source may take it for another display, or for none."
            : "Nothing in it breaks the standard.",
      "", fails ? report::Tone::kFault : report::Tone::kGood});
  return document;
}

}  // namespace

tl::expected<ExitCode, Failure> run_edid_show(const EdidShowRequest& request, const Context& context) {
  const auto file = edid_file(request.file);
  if (!file) return tl::unexpected{file.error()};
  const auto written = answer(request.json ? write(json_of(*file))
                                           : to_text(document_of(*file, request.file),
                                                     text_style(context.global.colour, context.environment)));
  if (!written) return tl::unexpected{written.error()};
  return file->fails() ? ExitCode::kFail : ExitCode::kPass;
}

}  // namespace host::cli
