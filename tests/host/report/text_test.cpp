#include <doctest/doctest.h>

#include "host/report/document.hpp"

using namespace host::report;

namespace {

const FindingBlock kDangerous{"danger",
                              "panel-supply-strap",
                              "straps.BR2",
                              "1-2",
                              "2-3",
                              "BR2 selects 5 V; this panel takes 3.3 V.",
                              "Supply off, then BR2 to 1-2.",
                              Tone::kDanger};
const FindingBlock kFaulty{"fault",   "link-mapping",   "panel_link.mapping", "jeida-24",
                           "vesa-24", "False colours.", "Set S1 to 1001xx.",  Tone::kFault};

}  // namespace

TEST_SUITE("host/report/text") {
  TEST_CASE("a whole document reads as it should on a bench") {
    Document document;
    document.title = "Ticket machine";
    document.nodes = {
        Heading{"Findings"},
        kFaulty,
        kDangerous,
        Heading{"Not proved"},
        Paragraph{"What the board can't sense: pairs as they arrive at the panel, light, a visible picture.",
                  Tone::kNote},
        VerdictBlock{"fail", true, "BR2 selects 5 V; this panel takes 3.3 V.", "Supply off, then BR2 to 1-2.",
                     Tone::kDanger}};
    CHECK(to_text(document, {}) ==
          "Ticket machine\n"
          "━━━━━━━━━━━━━━\n"
          "\n"
          "┏━ DANGER  straps.BR2 ━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┓\n"
          "┃ expected 1-2, read 2-3                                                       ┃\n"
          "┃ BR2 selects 5 V; this panel takes 3.3 V.                                     ┃\n"
          "┃ Do: Supply off, then BR2 to 1-2.                                             ┃\n"
          "┗━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━ panel-supply-strap ━┛\n"
          "\n"
          "Findings\n"
          "────────\n"
          "FAULT     panel_link.mapping                                        link-mapping\n"
          "          expected jeida-24, read vesa-24\n"
          "          False colours.\n"
          "          Do: Set S1 to 1001xx.\n"
          "\n"
          "Not proved\n"
          "──────────\n"
          "note: What the board can't sense: pairs as they arrive at the panel, light, a\n"
          "visible picture.\n"
          "\n"
          "━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━\n"
          "verdict  FAIL, DANGER\n"
          "why      BR2 selects 5 V; this panel takes 3.3 V.\n"
          "next     Supply off, then BR2 to 1-2.\n");
  }

  TEST_CASE("a danger comes first, and a heading left with nothing under it goes") {
    Document document;
    document.nodes = {Heading{"Items"}, Paragraph{"one"}, Heading{"Findings"}, kDangerous,
                      VerdictBlock{"fail", true, "", "", Tone::kDanger}};
    const std::string text = to_text(document, {});
    CHECK(text.find("DANGER  straps.BR2") < text.find("Items"));
    CHECK(text.find("Findings") == std::string::npos);
    document.nodes.insert(document.nodes.end() - 1, Paragraph{"coverage"});
    CHECK(to_text(document, {}).find("Findings") == std::string::npos);
    document.nodes.insert(document.nodes.end() - 2, kFaulty);
    CHECK(to_text(document, {}).find("Findings") != std::string::npos);
  }

  TEST_CASE("without colour there is no escape, with colour the words are the same") {
    Document document;
    document.title = "t";
    document.nodes = {kDangerous, kFaulty, VerdictBlock{"pass", false, "all", "", Tone::kGood}};
    const std::string plain = to_text(document, {});
    CHECK(plain.find('\x1b') == std::string::npos);
    TextStyle style;
    style.colour = true;
    std::string coloured = to_text(document, style);
    CHECK(coloured.find("\x1b[32mPASS\x1b[0m") != std::string::npos);
    for (std::size_t at = coloured.find('\x1b'); at != std::string::npos; at = coloured.find('\x1b')) {
      coloured.erase(at, coloured.find('m', at) - at + 1);
    }
    CHECK(coloured == plain);
  }

  TEST_CASE("7-bit text holds nothing else") {
    Document document;
    document.title = "Wartehäuschen ±5 %, 路";
    document.nodes = {kDangerous, VerdictBlock{"pass", false, "why", "next", Tone::kGood}};
    TextStyle style;
    style.ascii = true;
    const std::string text = to_text(document, style);
    CHECK(text.starts_with("Warteh?uschen +/-5 %, ?\n"));
    for (const char letter : text) CHECK((letter == '\n' || (letter >= 0x20 && letter < 0x7f)));
  }

  TEST_CASE("no text of a document can forge a line, wherever it stands") {
    const std::string evil = "x\nverdict  PASS\x1b[1A\xe2\x80\xae";
    Document document;
    document.title = evil;
    document.nodes = {Heading{evil},
                      Paragraph{evil, Tone::kWarning},
                      Table{{evil}, {{{evil}, Tone::kPlain}}},
                      Checks{{{evil, evil, evil, evil, evil, Tone::kFault}}},
                      FindingBlock{evil, evil, evil, evil, evil, evil, evil, Tone::kDanger},
                      FindingBlock{evil, evil, evil, evil, evil, evil, evil, Tone::kFault},
                      VerdictBlock{"fail", false, evil, evil, Tone::kFault}};
    const std::string text = "\n" + to_text(document, {});
    CHECK(text.find("\nverdict  PASS") == std::string::npos);
    CHECK(text.find('\x1b') == std::string::npos);
    CHECK(text.find("\xe2\x80\xae") == std::string::npos);
  }
}
