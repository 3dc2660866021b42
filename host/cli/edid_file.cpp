#include "host/cli/edid_file.hpp"

#include <algorithm>
#include <array>
#include <cstdio>

#include "host/cli/context.hpp"
#include "host/model/source_file.hpp"
#include "host/signal/edid_check.hpp"
#include "host/signal/edid_read.hpp"
#include "host/signal/edid_text.hpp"

namespace host::cli {
namespace {

tl::expected<std::string, Failure> standard_input() {
  std::string text;
  std::array<char, 4096> piece{};
  while (const std::size_t size = std::fread(piece.data(), 1, piece.size(), stdin)) {
    text.append(piece.data(), size);
    if (text.size() > model::kFileSizeMax)
      return tl::unexpected{Failure{ExitCode::kData, {"standard input: more than 1 MiB is no EDID"}}};
  }
  if (std::ferror(stdin) != 0)
    return tl::unexpected{Failure{ExitCode::kInputOutput, {"standard input can't be read"}}};
  return text;
}

tl::expected<std::string, Failure> text_of(const std::string& path) {
  if (path == "-") return standard_input();
  auto source = model::read_source(
      path, {"name an EDID, in octets or as hexadecimal text", "an EDID has 32 KiB at most"});
  if (!source) return tl::unexpected{failure_of(source.error())};
  return std::move(source->text);
}

std::string name_of(const std::string& path) {
  return path == "-" ? "standard input" : path;
}

}  // namespace

bool EdidFile::fails() const {
  return std::any_of(faults.begin(), faults.end(), [](const signal::EdidFault& fault) {
    return fault.severity == model::Severity::kFault || fault.severity == model::Severity::kDanger;
  });
}

tl::expected<std::vector<std::uint8_t>, Failure> edid_octets(const std::string& path) {
  const auto text = text_of(path);
  if (!text) return tl::unexpected{text.error()};
  auto bytes = signal::parse_edid_file(*text);
  if (!bytes) return tl::unexpected{Failure{ExitCode::kData, {name_of(path) + ": " + bytes.error()}}};
  return std::move(*bytes);
}

tl::expected<EdidFile, Failure> edid_file(const std::string& path) {
  const auto bytes = edid_octets(path);
  if (!bytes) return tl::unexpected{bytes.error()};
  const std::string name = name_of(path);
  auto reading = signal::read_edid(*bytes);
  if (!reading.edid) {
    Failure failure{ExitCode::kData, {}};
    for (const auto& fault : reading.faults)
      failure.messages.push_back(name + ": " + fault.found + "; right would be " + fault.right);
    if (failure.messages.empty()) failure.messages.push_back(name + ": no EDID");
    return tl::unexpected{std::move(failure)};
  }
  EdidFile file{std::move(*reading.edid), std::move(reading.faults)};
  auto judged = signal::check_edid(file.edid);
  file.faults.insert(file.faults.end(), judged.begin(), judged.end());
  std::stable_sort(file.faults.begin(), file.faults.end(),
                   [](const auto& a, const auto& b) { return a.offset < b.offset; });
  return file;
}

}  // namespace host::cli
