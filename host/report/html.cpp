#include "host/report/html.hpp"

#include <algorithm>
#include <sstream>

#include <pugixml.hpp>

#include "host/report/html_style.hpp"
#include "host/report/ink.hpp"
#include "host/report/strap_shapes.hpp"
#include "host/report/svg_tree.hpp"

namespace host::report {
namespace {

using pugi::xml_node;

constexpr std::size_t kLongTable = 16;   // rows from which a table is set smaller
constexpr std::size_t kNarrowTable = 2;  // columns up to which a table doesn't need the page's whole width
constexpr std::ptrdiff_t kThreeColumns = 3;  // narrow sections from which there are three columns of them

// An element that holds text. An empty one would be written as <td/>, which HTML takes for one never closed.
xml_node add(xml_node parent, const char* name, std::string_view text) {
  xml_node node = parent.append_child(name);
  add_text(node, text.empty() ? "\u00a0" : text);
  return node;
}

void add_class(xml_node node, std::string_view name) {
  if (!name.empty()) node.append_attribute("class").set_value(std::string{name}.c_str());
}

std::string_view class_of(Tone tone) {
  switch (tone) {
    case Tone::kPlain: return {};
    case Tone::kGood: return "good";
    case Tone::kNote: return "note";
    case Tone::kWarning: return "warning";
    case Tone::kFault: return "fault";
    case Tone::kDanger: return "danger";
  }
  return {};
}

std::string with_word(Tone tone, const std::string& text) {
  const std::string_view word = tone == Tone::kGood ? std::string_view{} : word_of(tone);
  return word.empty() ? text : std::string{word} + ": " + text;
}

class Renderer {
 public:
  explicit Renderer(xml_node parent) : parent_{parent} {}

  void operator()(const Heading& heading) { add(parent_, "h2", heading.text); }

  void operator()(const Paragraph& paragraph) {
    add_class(add(parent_, "p", with_word(paragraph.tone, paragraph.text)), class_of(paragraph.tone));
  }

  void operator()(const Table& table) {
    if (table.titles.empty() && table.rows.empty()) return;
    xml_node node = parent_.append_child("table");
    if (table.rows.size() >= kLongTable) add_class(node, "long");
    if (!table.titles.empty()) {
      xml_node row = node.append_child("thead").append_child("tr");
      for (const auto& title : table.titles) add(row, "th", title);
    }
    if (table.rows.empty()) return;
    xml_node body = node.append_child("tbody");
    for (const auto& row : table.rows) {
      xml_node line = body.append_child("tr");
      add_class(line, class_of(row.tone));
      if (row.cells.empty()) add(line, "td", "");
      for (std::size_t cell = 0; cell < row.cells.size(); ++cell)
        add(line, "td", cell == 0 ? with_word(row.tone, row.cells[cell]) : row.cells[cell]);
    }
  }

  void operator()(const Drawing& drawing) {
    xml_node figure = parent_.append_child("figure");
    add_svg(figure, drawing);
    add(figure, "figcaption", drawing.caption);
  }

  void operator()(const StrapDrawing& strap) {
    xml_node figure = parent_.append_child("figure");
    add_class(figure, "strap");
    add_svg(figure, drawn(strap));
  }

  void operator()(const Checks& checks) {
    Table table{{"state", "subject", "expected", "read", "known by"}, {}};
    for (const auto& item : checks.items)
      table.rows.push_back(
          {{item.state, item.subject, item.expected, item.actual, item.evidence}, item.tone});
    (*this)(table);
  }

  void operator()(const FindingBlock& finding) {
    xml_node block = parent_.append_child("section");
    add_class(block, class_of(finding.tone));
    std::string line = finding.severity + ": " + finding.subject + " (" + finding.id + ")";
    if (!finding.expected.empty()) line += ", expected " + finding.expected;
    if (!finding.actual.empty()) line += ", read " + finding.actual;
    add(block, "p", line);
    if (!finding.consequence.empty()) add(block, "p", finding.consequence);
    if (!finding.remedy.empty()) add(block, "p", "Do: " + finding.remedy);
  }

  void operator()(const VerdictBlock& verdict) {
    xml_node block = parent_.append_child("section");
    add_class(block, "verdict");
    add(block.append_child("p"), "strong", "verdict " + verdict.verdict + (verdict.danger ? ", DANGER" : ""));
    if (!verdict.why.empty()) add(block, "p", "why: " + verdict.why);
    if (!verdict.next.empty()) add(block, "p", "next: " + verdict.next);
  }

 private:
  xml_node parent_;
};

// A heading with what stands under it.
using Section = std::vector<const Node*>;

bool is_danger(const Node& node) {
  const auto* finding = std::get_if<FindingBlock>(&node);
  return finding != nullptr && finding->tone == Tone::kDanger;
}

std::vector<Section> sections_of(const std::vector<Node>& nodes) {
  std::vector<Section> sections(1);
  for (const Node& node : nodes) {
    if (is_danger(node)) sections.front().push_back(&node);
  }
  sections.emplace_back();
  for (const Node& node : nodes) {
    if (is_danger(node)) continue;
    if (std::holds_alternative<Heading>(node)) sections.emplace_back();
    sections.back().push_back(&node);
  }
  std::erase_if(sections, [](const Section& section) {
    return section.empty() || (section.size() == 1 && std::holds_alternative<Heading>(*section.front()));
  });
  return sections;
}

bool is_narrow(const Section& section) {
  return std::holds_alternative<Heading>(*section.front()) &&
         std::all_of(section.begin(), section.end(), [](const Node* node) {
           if (const auto* table = std::get_if<Table>(node)) {
             return table->titles.size() <= kNarrowTable && table->rows.size() < kLongTable &&
                    std::all_of(
                        table->rows.begin(), table->rows.end(),
                        [](const auto& row) { return row.cells.size() <= kNarrowTable; });
           }
           return std::holds_alternative<Heading>(*node) || std::holds_alternative<Paragraph>(*node);
         });
}

// What a page may break inside, since it could leave half of one empty otherwise.
bool is_large(const Node* node) {
  const auto* table = std::get_if<Table>(node);
  return std::holds_alternative<Drawing>(*node) || std::holds_alternative<FindingBlock>(*node) ||
         std::holds_alternative<Checks>(*node) || (table != nullptr && table->rows.size() >= kLongTable);
}

// Drawings that follow each other stand side by side, straps in a strip of their own.
void add_section(xml_node parent, const Section& section) {
  xml_node whole = parent.append_child("section");
  if (std::none_of(section.begin(), section.end(), is_large)) add_class(whole, "whole");
  xml_node drawings;
  xml_node strip;
  for (const Node* node : section) {
    const bool is_strap = std::holds_alternative<StrapDrawing>(*node);
    if (!is_strap && !std::holds_alternative<Drawing>(*node)) {
      drawings = strip = xml_node{};
      std::visit(Renderer{whole}, *node);
      continue;
    }
    if (!drawings) {
      drawings = whole.append_child("div");
      add_class(drawings, "drawings");
    }
    if (!is_strap) strip = xml_node{};
    if (is_strap && !strip) {
      strip = drawings.append_child("div");
      add_class(strip, "strip");
    }
    std::visit(Renderer{is_strap ? strip : drawings}, *node);
  }
}

}  // namespace

std::string to_html(const Document& document) {
  pugi::xml_document file;
  file.append_child(pugi::node_doctype).set_value("html");
  xml_node html = file.append_child("html");
  html.append_attribute("lang").set_value("en");
  xml_node head = html.append_child("head");
  head.append_child("meta").append_attribute("charset").set_value("utf-8");
  xml_node view = head.append_child("meta");
  view.append_attribute("name").set_value("viewport");
  view.append_attribute("content").set_value("width=device-width");
  add(head, "title", document.title);
  // Nothing in it that XML would escape: a style element's text isn't read as markup by HTML.
  head.append_child("style")
      .append_child(pugi::node_pcdata)
      .set_value(style_sheet(cleaned(document.foot)).c_str());

  xml_node body = html.append_child("body");
  add(body, "h1", document.title);
  const std::vector<Section> sections = sections_of(document.nodes);
  for (auto section = sections.begin(); section != sections.end();) {
    const auto wide = std::find_if_not(section, sections.end(), is_narrow);
    if (wide - section < 2) {  // one alone gains nothing by columns
      add_section(body, *section++);
      continue;
    }
    xml_node columns = body.append_child("div");
    add_class(columns, wide - section >= kThreeColumns ? "columns three" : "columns");
    for (; section != wide; ++section) add_section(columns, *section);
  }
  if (!document.foot.empty()) add(body, "footer", document.foot);

  std::ostringstream out;
  file.save(out, "", pugi::format_raw | pugi::format_no_declaration, pugi::encoding_utf8);
  return std::move(out).str() + '\n';
}

}  // namespace host::report
