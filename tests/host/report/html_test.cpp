#include "host/report/html.hpp"

#include <algorithm>

#include <doctest/doctest.h>

#include "host/report/svg.hpp"

using namespace host::report;

namespace {

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
  return found;
}

// One node of each kind, every text of it the same.
Document all_of(const std::string& text) {
  Drawing drawing;
  drawing.caption = text;
  drawing.width = drawing.height = 10'000;
  drawing.shapes = {TextShape{{1000, 1000}, 2000, Anchor::kStart, text, Role::kStrong},
                    RectangleShape{{0, 0}, 5000, 4000, 500, Role::kCap}};
  drawing.words = {{"id", text}, {{{text, text}, Tone::kPlain}}};
  StrapDrawing strap;
  strap.id = text;
  strap.count = 3;
  strap.nets = {text, text, text};
  strap.expected_care = 3;
  Document document;
  document.title = document.foot = text;
  document.nodes = {Heading{text},
                    Paragraph{text, Tone::kWarning},
                    Table{{text, text}, {{{text, ""}, Tone::kFault}}},
                    drawing,
                    strap,
                    Checks{{{text, text, text, text, text, Tone::kGood}}},
                    FindingBlock{text, text, text, text, text, text, text, Tone::kDanger},
                    VerdictBlock{text, true, text, text, Tone::kFault}};
  return document;
}

}  // namespace

TEST_SUITE("host/report/html") {
  TEST_CASE("markup in a text stays text, wherever it stands") {
    const std::string hostile =
        "</style></title><script>x()</script>\" onload='y' & ]]> <!-- \\a }@import url(http://z)";
    for (const std::string& file : {to_html(all_of(hostile)), to_svg(all_of(hostile))}) {
      CHECK_FALSE(holds(file, "<script"));
      CHECK_FALSE(holds(file, "<!--"));
      CHECK_FALSE(holds(file, "]]>"));
      CHECK(holds(file, "&lt;script&gt;"));
      CHECK(count(file, "</style>") == count(file, "<style>"));
    }
    const std::string html = to_html(all_of(hostile));
    CHECK(count(html, "</title>") == count(html, "<title>"));
    // The style sheet holds the foot too, where an escape of XML wouldn't help.
    const std::string style = html.substr(html.find("<style>"), html.find("</style>") - html.find("<style>"));
    CHECK_FALSE(holds(style, "url("));
    CHECK_FALSE(holds(style, "@import"));
    CHECK(count(style, "\"") % 2 == 0);
    CHECK(style.find('<', 1) == std::string::npos);
    CHECK(style.find('&') == std::string::npos);
  }

  TEST_CASE("no control, reordering or forbidden character gets into a file") {
    for (const std::string& bad : {std::string("a\x1b[2Jb"), std::string("a\nb\tc"), std::string(1, '\0'),
                                   std::string("a\u202eb"), std::string("\xff\xfe"), std::string("\uffff")}) {
      for (const std::string& file : {to_html(all_of(bad)), to_svg(all_of(bad))}) {
        CHECK(std::all_of(file.begin(), file.end(), [](char letter) {
          const auto octet = static_cast<unsigned char>(letter);
          return octet >= 0x20 || octet == '\n';
        }));
        CHECK_FALSE(holds(file, "\u202e"));
        CHECK_FALSE(holds(file, "\uffff"));
        CHECK_FALSE(holds(file, "\xff"));
        CHECK_FALSE(holds(file, "&#0"));
      }
    }
  }

  TEST_CASE("nothing outside the file is referred to, and nothing in it runs") {
    const std::string html = to_html(all_of("plain"));
    for (const char* part : {"http", "src=", "href", "url(", "@import", "<script", "<link", "onload"}) {
      CAPTURE(std::string(part));
      CHECK_FALSE(holds(html, part));
    }
    std::string svg = to_svg(all_of("plain"));
    const std::string name_space = "xmlns=\"http://www.w3.org/2000/svg\"";  // a name, which nobody fetches
    CHECK(count(svg, name_space) == 1);
    svg.erase(svg.find(name_space), name_space.size());
    for (const char* part : {"http", "href", "url(", "<style", "<script"}) CHECK_FALSE(holds(svg, part));
  }

  TEST_CASE("every text of every node is in the page") {
    Document document;
    document.title = "Title1";
    document.foot = "Foot1";
    document.nodes = {Heading{"Head1"},
                      Paragraph{"Para1", Tone::kWarning},
                      Table{{"Col1", "Col2"}, {{{"Cell1", "Cell2"}, Tone::kPlain}}},
                      Checks{{{"Subj1", "Exp1", "Act1", "State1", "Evid1", Tone::kGood}}},
                      FindingBlock{"fault", "id1", "subj2", "exp2", "act2", "cons2", "rem2", Tone::kFault},
                      VerdictBlock{"fail", true, "Why1", "Next1", Tone::kFault}};
    const std::string html = to_html(document);
    for (const char* text : {"Title1",
                             "Foot1",
                             "Head1",
                             "warning: Para1",
                             "Col1",
                             "Col2",
                             "Cell1",
                             "Cell2",
                             "Subj1",
                             "Exp1",
                             "Act1",
                             "State1",
                             "Evid1",
                             "id1",
                             "subj2",
                             "exp2",
                             "act2",
                             "cons2",
                             "rem2",
                             "fail, DANGER",
                             "Why1",
                             "Next1",
                             "content:\"Foot1\""}) {
      CAPTURE(std::string(text));
      CHECK(holds(html, text));
    }
  }

  TEST_CASE("dangers stand ahead of everything else") {
    Document document;
    document.nodes = {Heading{"Early"}, Paragraph{"Text", Tone::kPlain}, Heading{"Late"},
                      FindingBlock{"danger", "id", "s", "", "", "Burns.", "", Tone::kDanger}};
    const std::string html = to_html(document);
    CHECK(html.find("Burns.") < html.find("Early"));
    CHECK_FALSE(holds(html, "Late"));  // a heading that has lost all that stood under it
  }

  TEST_CASE("no element is left empty that HTML would take for open") {
    const std::string html = to_html(all_of("x"));
    for (const char* name : {"td", "th", "p", "section", "div", "table", "span", "h1", "style", "svg"})
      CHECK_FALSE(holds(html, std::string("<") + name + " />"));
  }
}
