#include "host/model/finding.hpp"

#include <algorithm>
#include <cctype>
#include <set>
#include <string>

#include <doctest/doctest.h>

TEST_SUITE("host/model") {
  using namespace host::model;

  TEST_CASE("every kind of finding says in a sentence what it does and how to mend it") {
    std::set<std::string_view> names;
    REQUIRE(finding_kinds().size() == static_cast<std::size_t>(FindingId::kCount));
    for (std::size_t n = 0; n < finding_kinds().size(); ++n) {
      const FindingKind& kind = kind_of(static_cast<FindingId>(n));
      CAPTURE(kind.name);
      CHECK(kind.id == static_cast<FindingId>(n));
      CHECK(names.insert(kind.name).second);
      CHECK(!kind.name.empty());
      CHECK(std::all_of(kind.name.begin(), kind.name.end(),
                        [](char c) { return std::islower(c) != 0 || c == '-'; }));
      for (const std::string_view sentence : {kind.consequence, kind.remedy}) {
        CHECK(sentence.size() > 15);
        CHECK(std::isupper(static_cast<unsigned char>(sentence.front())) != 0);
        CHECK(sentence.back() == '.');
      }
    }
  }

  TEST_CASE("what can destroy a part is danger, and its remedy takes the supply off first") {
    for (const FindingId id :
         {FindingId::kPanelSupplyStrap, FindingId::kLightSupplyStrap, FindingId::kStrapImpossible,
          FindingId::kSupplyHigh, FindingId::kPanelRailHigh, FindingId::kLightRailHigh}) {
      const FindingKind& kind = kind_of(id);
      CAPTURE(kind.name);
      CHECK(kind.severity == Severity::kDanger);
      CHECK(kind.remedy.starts_with("Supply off"));
    }
  }

  TEST_CASE("no remedy lets anybody move a strap under power") {
    for (const FindingKind& kind : finding_kinds()) {
      if (!kind.name.ends_with("-strap") && kind.name != "straps-undefined" &&
          kind.name != "strap-impossible")
        continue;
      CAPTURE(kind.name);
      CHECK(kind.remedy.starts_with("Supply off"));
    }
  }

  TEST_CASE("a new finding carries the registry's words") {
    const Finding finding =
        make_finding(FindingId::kPanelRailHigh, "rails.panel_out_mv", "3135..3465 mV", "5012 mV");
    CHECK(finding.severity == Severity::kDanger);
    CHECK(finding.subject == "rails.panel_out_mv");
    CHECK(finding.expected == "3135..3465 mV");
    CHECK(finding.actual == "5012 mV");
    CHECK(finding.consequence == kind_of(FindingId::kPanelRailHigh).consequence);
    CHECK(finding.remedy == kind_of(FindingId::kPanelRailHigh).remedy);
    CHECK(to_text(Severity::kDanger) == "danger");
  }
}
