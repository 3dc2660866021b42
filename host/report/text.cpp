#include <algorithm>

#include "host/report/columns.hpp"
#include "host/report/document.hpp"
#include "host/report/grid.hpp"
#include "host/report/ink.hpp"
#include "host/report/strap_drawing.hpp"

namespace host::report {
namespace {

std::string rule(std::string_view piece, int columns) {
  std::string line;
  for (int column = 0; column < columns; ++column) line += piece;
  return line;
}

// `word` in the margin of `text`, which hangs beside it.
std::string hanging(std::string_view margin, const std::string& text, Tone tone, const Ink& ink) {
  const int indent = columns_of(margin);
  std::string out;
  std::string front{margin};
  for (const auto& line : wrapped(text, std::max(20, ink.width() - indent))) {
    out += ink.toned(front, tone) + line + '\n';
    front.assign(static_cast<std::size_t>(indent), ' ');
  }
  return out;
}

std::string upper(std::string text) {
  for (char& letter : text) {
    if (letter >= 'a' && letter <= 'z') letter = static_cast<char>(letter - 'a' + 'A');
  }
  return text;
}

std::string compared(const FindingBlock& finding, const Ink& ink) {
  std::string text;
  if (!finding.expected.empty()) text += "expected " + ink.plain(finding.expected);
  if (!finding.actual.empty()) text += (text.empty() ? "read " : ", read ") + ink.plain(finding.actual);
  return text;
}

// A danger stands in a frame, so that it can't be taken for a line among others even in black and white.
std::string framed(const FindingBlock& finding, const Ink& ink) {
  const int inner = ink.width() - 4;
  std::vector<std::string> lines;
  const auto add = [&](const std::string& text) {
    if (text.empty()) return;
    for (auto& line : wrapped(text, inner)) lines.push_back(std::move(line));
  };
  add(compared(finding, ink));
  add(ink.plain(finding.consequence));
  if (!finding.remedy.empty()) add("Do: " + ink.plain(finding.remedy));

  const std::string title =
      " " + upper(ink.plain(finding.severity)) + "  " + ink.plain(finding.subject) + " ";
  const std::string id = " " + ink.plain(finding.id) + " ";
  const auto edge = [&](std::string_view left, const std::string& first, const std::string& last,
                        std::string_view right) {
    const int rest = inner + 2 - columns_of(first) - columns_of(last) - 2;
    return ink.plain(std::string{left} + "━") + first + ink.plain(rule("━", rest)) + last +
           ink.plain(std::string{"━"}.append(right));
  };
  const std::string side = ink.plain("┃");
  std::string out = ink.toned(edge("┏", title, "", "┓"), Tone::kDanger) + '\n';
  for (const auto& line : lines) {
    out += ink.toned(side, Tone::kDanger) + ' ' + padded(line, inner) + ' ' + ink.toned(side, Tone::kDanger) +
           '\n';
  }
  return out + ink.toned(edge("┗", "", id, "┛"), Tone::kDanger) + '\n';
}

class Renderer {
 public:
  explicit Renderer(const Ink& ink) : ink_{ink} {}

  std::string operator()(const Heading& heading) const {
    const std::string text = ink_.plain(heading.text);
    return ink_.strong(text) + '\n' + ink_.plain(rule("─", columns_of(text))) + '\n';
  }

  std::string operator()(const Paragraph& paragraph) const {
    std::string out;
    const std::string_view mark = word_of(paragraph.tone);
    const bool plain = paragraph.tone == Tone::kGood || mark.empty();
    const std::string front = plain ? "" : std::string{mark} + ": ";
    for (const auto& line : wrapped(front + ink_.plain(paragraph.text), ink_.width())) {
      out += ink_.toned(line, paragraph.tone) + '\n';
    }
    return out;
  }

  std::string operator()(const Table& table) const { return to_text(table, ink_); }
  std::string operator()(const Drawing& drawing) const {
    std::string out;
    for (const auto& line : wrapped(ink_.plain(drawing.caption), ink_.width())) out += line + '\n';
    return out + to_text(drawing.words, ink_);
  }
  std::string operator()(const Checks& checks) const { return to_text(checks, ink_); }
  std::string operator()(const StrapDrawing& strap) const { return to_text(strap, ink_); }

  std::string operator()(const FindingBlock& finding) const {
    if (finding.tone == Tone::kDanger) return framed(finding, ink_);
    constexpr int kMargin = 10;
    const std::string id = ink_.plain(finding.id);
    std::string first = ink_.plain(finding.subject);
    const int space = ink_.width() - kMargin - columns_of(first) - columns_of(id);
    first += space >= 2 ? std::string(static_cast<std::size_t>(space), ' ') + id : "  " + id;
    std::string out = ink_.toned(padded(upper(ink_.plain(finding.severity)), kMargin), finding.tone) +
                      ink_.strong(first) + '\n';
    const std::string margin(kMargin, ' ');
    const auto add = [&](const std::string& text) {
      if (!text.empty()) out += hanging(margin, text, Tone::kPlain, ink_);
    };
    add(compared(finding, ink_));
    add(ink_.plain(finding.consequence));
    if (!finding.remedy.empty())
      out += hanging(margin + "Do: ", ink_.plain(finding.remedy), Tone::kPlain, ink_);
    return out;
  }

  std::string operator()(const VerdictBlock& verdict) const {
    std::string word = upper(ink_.plain(verdict.verdict));
    if (verdict.danger) word += ", DANGER";
    const Tone tone = verdict.danger ? Tone::kDanger : verdict.tone;
    std::string out = ink_.plain(rule("━", ink_.width())) + '\n';
    out += "verdict  " + ink_.toned(word, tone) + '\n';
    if (!verdict.why.empty()) out += hanging("why      ", ink_.plain(verdict.why), Tone::kPlain, ink_);
    if (!verdict.next.empty()) out += hanging("next     ", ink_.plain(verdict.next), Tone::kPlain, ink_);
    return out;
  }

 private:
  const Ink& ink_;
};

bool is_danger(const Node& node) {
  const auto* finding = std::get_if<FindingBlock>(&node);
  return finding != nullptr && finding->tone == Tone::kDanger;
}

// Dangers first; then the rest in order, without headings that have lost all that stood under them.
std::vector<const Node*> in_order(const std::vector<Node>& nodes) {
  std::vector<const Node*> order;
  for (const Node& node : nodes) {
    if (is_danger(node)) order.push_back(&node);
  }
  for (std::size_t index = 0; index < nodes.size(); ++index) {
    if (is_danger(nodes[index])) continue;
    if (std::holds_alternative<Heading>(nodes[index])) {
      std::size_t next = index + 1;
      while (next < nodes.size() && is_danger(nodes[next])) ++next;
      const bool ends = next == nodes.size() || std::holds_alternative<Heading>(nodes[next]) ||
                        std::holds_alternative<VerdictBlock>(nodes[next]) ||
                        (next > index + 1 && !std::holds_alternative<FindingBlock>(nodes[next]));
      if (ends) continue;
    }
    order.push_back(&nodes[index]);
  }
  return order;
}

}  // namespace

std::string to_text(const Document& document, const TextStyle& style) {
  TextStyle sound = style;
  sound.width = std::max(style.width, 40);
  const Ink ink{sound};
  std::string out;
  const std::string title = ink.plain(document.title);
  if (!title.empty()) {
    for (const auto& line : wrapped(title, ink.width())) out += ink.strong(line) + '\n';
    out += ink.plain(rule("━", std::min(columns_of(title), ink.width()))) + '\n';
  }
  const Node* before = nullptr;
  for (const Node* node : in_order(document.nodes)) {
    const bool follows_heading = before != nullptr && std::holds_alternative<Heading>(*before);
    if (!out.empty() && !follows_heading) out += '\n';
    out += std::visit(Renderer{ink}, *node);
    before = node;
  }
  if (!document.foot.empty()) {
    out += '\n' + ink.plain(rule("─", ink.width())) + '\n';
    for (const auto& line : wrapped(ink.plain(document.foot), ink.width())) out += line + '\n';
  }
  return out;
}

}  // namespace host::report
