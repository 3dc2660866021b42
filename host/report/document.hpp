#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "host/report/drawing.hpp"

namespace host::report {

/// How much a part of a document matters; renderers choose words, shapes and colour, never colour alone.
enum class Tone { kPlain, kGood, kNote, kWarning, kFault, kDanger };

struct Heading {
  std::string text;
};

struct Paragraph {
  std::string text;
  Tone tone = Tone::kPlain;
};

/// Rows of cells under titles. Cells wrap at spaces where a row would be wider than the page; a row is wider
/// than it only where a single word is.
struct Table {
  std::vector<std::string> titles;  // empty: no title row
  struct Row {
    std::vector<std::string> cells;
    Tone tone = Tone::kPlain;
  };
  std::vector<Row> rows;
};

/// A picture made of shapes, and the same in words: whoever can't draw prints the table instead.
struct Drawing {
  std::string caption;
  std::int64_t width = 0, height = 0;  // micrometres; shapes outside are cut off
  std::vector<Shape> shapes;
  Table words;  // tells all that the shapes tell
};

/// One thing that was checked: subject, expected, read, state.
struct CheckItem {
  std::string subject;   // "straps.BR1"
  std::string expected;  // "1-2"
  std::string actual;    // "2-3", or "unread: asleep"
  std::string state;     // "match", "marginal", "mismatch", "unread"
  std::string evidence;  // "sensed"
  Tone tone = Tone::kPlain;
};

/// A run of check items that are aligned together.
struct Checks {
  std::vector<CheckItem> items;
};

/// A strap as it should stand beside the strap as read.
struct StrapDrawing {
  enum class Kind { kJumper, kSwitches };
  std::string id;  // "BR1"
  Kind kind = Kind::kJumper;
  int count = 0;                  // pins or ways
  std::vector<std::string> nets;  // of a jumper's pins
  unsigned expected = 0;          // bits as on the wire
  unsigned expected_care = 0;     // bits that matter
  std::string actual_word =
      "read";  // or "given"; empty: there is nothing to hold against, expected stands alone
  bool read_known = false;
  unsigned read = 0;
  Tone tone = Tone::kPlain;  // kGood beside a difference: the position read is accepted as well
};

/// One finding: severity first, then what, consequence, remedy.
struct FindingBlock {
  std::string severity;
  std::string id;
  std::string subject;
  std::string expected;
  std::string actual;
  std::string consequence;
  std::string remedy;
  Tone tone = Tone::kFault;
};

/// The last lines of a document: verdict, why, what next.
struct VerdictBlock {
  std::string verdict;  // "pass", "fail", "incomplete"
  bool danger = false;
  std::string why;
  std::string next;
  Tone tone = Tone::kPlain;
};

using Node =
    std::variant<Heading, Paragraph, Table, Drawing, Checks, StrapDrawing, FindingBlock, VerdictBlock>;

/// What a command found, before anyone decides how it looks.
struct Document {
  std::string title;
  std::vector<Node> nodes;
  std::string foot;  // what it is about, in one line: stands at the foot of every printed page
};

/// How a text renderer may draw.
struct TextStyle {
  bool colour = false;
  bool ascii = false;  // 7-bit text: lines, marks and symbols are spelled with plain characters
  int width = 80;      // columns at which everything wraps
};

/// The document as text for a terminal, a pipe or a file.
///
/// Returns  lines that end in a newline. Findings of tone danger come first whatever their place in the
/// document,
///          a heading left with nothing under it is dropped, and a verdict stands where the document has it.
///          Meaning is carried by words and marks; colour only repeats it. Every text is cleaned() on the
///          way.
[[nodiscard]] std::string to_text(const Document& document, const TextStyle& style);

/// Makes text from a device or a file safe to show: control, bidirectional-override and invalid octets are
/// replaced by visible escapes ("\x1b", "\u202e"), so that nothing a device says can move a cursor, forge a
/// line or reorder one. Cleaning twice changes nothing. Source  Unicode 15, 9.1 and UAX 9 (bidirectional
/// controls).
[[nodiscard]] std::string cleaned(std::string_view text);

}  // namespace host::report

// Copied and ended in many files, compiled once.
extern template class std::vector<host::report::Node>;
extern template class std::vector<host::report::Table::Row>;
extern template class std::vector<host::report::CheckItem>;
