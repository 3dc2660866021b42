#include "host/expect/expectation.hpp"
#include "host/model/catalogue.hpp"
#include "host/report/document.hpp"
#include "host/report/json/read.hpp"
#include "host/verify/document.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/saved.hpp"
#include "tests/fuzz/promises.hpp"
#include "tests/fuzz/targets.hpp"

namespace tests::fuzz {
namespace {

using host::verify::Snapshot;
using host::verify::Verdict;
namespace json = host::report::json;

struct Known {
  host::model::Kit kit;
  host::expect::Expectation expectation;
};

const Known& known() {
  static const Known made = [] {
    auto kit = host::model::load_kit("stop-display", {source_path("host/catalog")});
    must(kit.has_value(), "the catalogue's kit loads");
    auto expectation = host::expect::derive(*kit);
    must(expectation.has_value(), "and can be worked out");
    return Known{std::move(*kit), std::move(*expectation)};
  }();
  return made;
}

std::string judged(const Snapshot& snapshot) {
  const auto& [kit, expectation] = known();
  const auto judgement = judge(kit, expectation, snapshot, {});
  const bool whole = snapshot.trouble.empty() && !snapshot.wire.gate_broken && !snapshot.points.empty();
  must(whole || judgement.verdict != Verdict::kPass, "what isn't whole doesn't pass");
  must(!judgement.danger || judgement.verdict != Verdict::kPass, "nor what is dangerous");
  (void)host::report::to_text(to_document(kit, expectation, snapshot, judgement), {});
  return write(to_json(kit, snapshot, judgement));
}

}  // namespace

void snapshot(Octets input) {
  const std::string text = text_of(input);
  const auto document = json::read(text);
  if (!document) {
    const auto& refusal = document.error();
    must(is_one_clean_line(refusal.what), "who refuses a document says why in one clean line");
    must(refusal.line >= 1 && refusal.column >= 1, "and where");
    return;
  }
  const auto again = json::read(write(*document));
  must(again && write(*again) == write(*document), "a document is read back as it was written");
  const auto kept = host::verify::saved_snapshot(*document);
  if (!kept) return must(is_one_clean_line(kept.error()), "who refuses readings says why in one clean line");
  const std::string first = judged(*kept);
  const auto reread = json::read(first);
  must(reread.has_value(), "a judgement is a document");
  const auto second = host::verify::saved_snapshot(*reread);
  must(second.has_value(), "of readings that can be judged");
  must(judged(*second) == first, "and are, in the same way");
}

}  // namespace tests::fuzz
