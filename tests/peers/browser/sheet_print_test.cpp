#include <cstdlib>

#include <doctest/doctest.h>

#include "host/model/catalogue.hpp"
#include "host/report/html.hpp"
#include "host/report/svg.hpp"
#include "tests/support/run_program.hpp"

using namespace tests::support;

namespace {

const std::string kCatalogue = source_path("host/catalog");

std::vector<std::string> kits() {
  return host::model::kit_ids({kCatalogue});
}

std::string sheet(const TemporaryFolder& folder, const std::string& kit, const std::string& ending) {
  const std::string path = folder.path() + "/" + kit + ending;
  Launch launch;
  launch.program = program_path("strapline");
  launch.arguments = {"--catalog", kCatalogue, "sheet", kit, "-o", path};
  const Outcome outcome = run(launch);
  INFO(outcome.err);
  CHECK(outcome.exit_code == 0);
  return path;
}

// Complaints of a reader that, other than a browser, forgives nothing.
std::string strictly_read(const std::string& path) {
  Launch launch;
  launch.program = "xmllint";
  launch.arguments = {"--noout", "--nonet", path};
  const Outcome outcome = run(launch);
  return outcome.exit_code == 0 ? outcome.err : outcome.err + " (refused)";
}

std::string printed(const TemporaryFolder& folder, const std::string& html) {
  const std::string pdf = html + ".pdf";
  Launch launch;
  launch.program = "chromium";
  launch.arguments = {"--headless",
                      "--no-sandbox",
                      "--disable-gpu",
                      "--disable-dev-shm-usage",
                      "--user-data-dir=" + folder.path() + "/profile",
                      "--no-pdf-header-footer",
                      "--print-to-pdf=" + pdf,
                      "file://" + html};
  launch.environment = {{"HOME", folder.path()}};
  launch.time_limit = std::chrono::seconds{60};
  const Outcome outcome = run(launch);
  INFO(outcome.err);
  CHECK(outcome.exit_code == 0);
  return pdf;
}

int pages_of(const std::string& pdf) {
  Launch launch;
  launch.program = "pdfinfo";
  launch.arguments = {pdf};
  const std::string out = run(launch).out;
  const std::size_t at = out.find("Pages:");
  return at == std::string::npos ? 0 : std::atoi(out.c_str() + at + 6);
}

std::string text_of(const std::string& pdf) {
  Launch launch;
  launch.program = "pdftotext";
  launch.arguments = {"-layout", pdf, "-"};
  return run(launch).out;
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_SUITE("peers/browser") {
  TEST_CASE(
      "a browser prints the sheet of every shipped kit on two pages at most, with all that must be there") {
    const TemporaryFolder folder;
    REQUIRE_FALSE(kits().empty());
    for (const auto& id : kits()) {
      CAPTURE(id);
      const std::string pdf = printed(folder, sheet(folder, id, ".html"));
      const int pages = pages_of(pdf);
      CHECK(pages >= 1);
      CHECK(pages <= 2);
      const std::string text = text_of(pdf);
      const auto kit = host::model::load_kit(id, {kCatalogue});
      REQUIRE(kit.has_value());
      CHECK(holds(text, kit->digest));
      CHECK(holds(text, "page 1 of " + std::to_string(pages)));
      for (const auto& strap : kit->board.straps) CHECK(holds(text, strap.id));
      for (const auto& connector : kit->board.connectors) CHECK(holds(text, connector.id));
      CHECK(holds(text, "supply last"));
    }
  }

  TEST_CASE("sheets are well-formed XML, as pages and as pictures") {
    const TemporaryFolder folder;
    for (const auto& id : kits()) {
      CHECK(strictly_read(sheet(folder, id, ".html")) == "");
      CHECK(strictly_read(sheet(folder, id, ".svg")) == "");
    }
    CHECK(strictly_read(folder.write("wrong.html", "<html><p></html>\n")) != "");
  }

  TEST_CASE("whatever octets a text holds, the files stay well-formed and a browser runs nothing of them") {
    const TemporaryFolder folder;
    std::string all;
    for (int octet = 0; octet < 256; ++octet) all += static_cast<char>(octet);
    const std::vector<std::string> texts = {all, "</style><script>document.title='taken'</script>",
                                            "]]>&#0;<!--", "\uffff\ufffe\u202e\U000e0001"};
    for (std::size_t index = 0; index < texts.size(); ++index) {
      host::report::Document document;
      document.title = document.foot = texts[index];
      host::report::Drawing drawing;
      drawing.caption = texts[index];
      drawing.width = drawing.height = 10'000;
      drawing.shapes = {host::report::TextShape{
          {0, 0}, 2000, host::report::Anchor::kStart, texts[index], host::report::Role::kFaint}};
      document.nodes = {host::report::Heading{texts[index]},
                        host::report::Table{{texts[index]}, {{{texts[index]}, host::report::Tone::kPlain}}},
                        drawing};
      const std::string name = std::to_string(index);
      CAPTURE(index);
      CHECK(strictly_read(folder.write(name + ".html", to_html(document))) == "");
      CHECK(strictly_read(folder.write(name + ".svg", to_svg(document))) == "");
    }
    // The text is on the page as text, in heading and cell; had it run, it would be gone from there.
    CHECK(holds(text_of(printed(folder, folder.path() + "/1.html")), "</style><script>document.title"));
  }
}
