#include "host/report/grid.hpp"

#include <algorithm>
#include <numeric>

#include "host/report/columns.hpp"

namespace host::report {
namespace {

constexpr int kGap = 2;  // between columns

struct Column {
  int width = 0;
  int width_min = 0;
};

// Where the words of a column won't do, its names are broken: no further than this.
constexpr int kNameMin = 24;

std::vector<Column> columns_for(const std::vector<std::vector<std::string>>& lines, int space) {
  std::vector<Column> columns;
  for (const auto& cells : lines) {
    if (cells.size() > columns.size()) columns.resize(cells.size());
    for (std::size_t index = 0; index < cells.size(); ++index) {
      columns[index].width = std::max(columns[index].width, columns_of(cells[index]));
      columns[index].width_min = std::max(columns[index].width_min, widest_word(cells[index]));
    }
  }
  const auto total = [&] {
    return std::accumulate(columns.begin(), columns.end(), kGap * (static_cast<int>(columns.size()) - 1),
                           [](int sum, const Column& column) { return sum + column.width; });
  };
  // The widest gives way first.
  const auto narrow = [&] {
    while (!columns.empty() && total() > space) {
      auto widest = columns.end();
      for (auto column = columns.begin(); column != columns.end(); ++column) {
        const bool shrinks = column->width > column->width_min;
        if (shrinks && (widest == columns.end() || column->width > widest->width)) widest = column;
      }
      if (widest == columns.end()) break;
      --widest->width;
    }
  };
  narrow();
  for (auto& column : columns) column.width_min = std::min(column.width_min, kNameMin);
  narrow();
  return columns;
}

void trim_end(std::string& line) {
  line.erase(line.find_last_not_of(' ') + 1);
}

// One row, as many lines as its tallest cell; without colour.
std::vector<std::string> row_lines(const std::vector<std::string>& cells,
                                   const std::vector<Column>& columns) {
  std::vector<std::vector<std::string>> blocks;
  std::size_t height = 1;
  for (std::size_t index = 0; index < cells.size(); ++index) {
    blocks.push_back(wrapped(cells[index], columns[index].width));
    height = std::max(height, blocks.back().size());
  }
  std::vector<std::string> lines(height);
  for (std::size_t line = 0; line < height; ++line) {
    for (std::size_t index = 0; index < blocks.size(); ++index) {
      if (index > 0) lines[line].append(kGap, ' ');
      lines[line] += padded(line < blocks[index].size() ? blocks[index][line] : "", columns[index].width);
    }
    trim_end(lines[line]);
  }
  return lines;
}

std::vector<std::string> plain_cells(const std::vector<std::string>& cells, const Ink& ink) {
  std::vector<std::string> out;
  out.reserve(cells.size());
  for (const auto& cell : cells) out.push_back(ink.plain(cell));
  return out;
}

struct MarkedRow {
  std::string mark;  // what the row is, in one word; may be empty
  std::vector<std::string> cells;
  Tone tone = Tone::kPlain;
};

std::string grid(const std::vector<std::string>& titles, const std::vector<MarkedRow>& rows, const Ink& ink) {
  int margin = 0;
  std::vector<std::vector<std::string>> lines{plain_cells(titles, ink)};
  for (const auto& row : rows) {
    lines.push_back(plain_cells(row.cells, ink));
    if (!row.mark.empty()) margin = std::max(margin, columns_of(row.mark) + kGap);
  }
  const std::vector<Column> columns = columns_for(lines, ink.width() - margin);
  const std::string indent(static_cast<std::size_t>(margin), ' ');

  std::string out;
  if (!titles.empty()) {
    for (auto& line : row_lines(lines.front(), columns)) out += indent + ink.strong(line) + '\n';
    std::string rule;
    for (std::size_t index = 0; index < columns.size(); ++index) {
      if (index > 0) rule.append(kGap, ' ');
      for (int column = 0; column < columns[index].width; ++column) rule += "─";
    }
    out += indent + ink.plain(rule) + '\n';
  }
  for (std::size_t index = 0; index < rows.size(); ++index) {
    std::string front = padded(rows[index].mark, margin);
    for (const auto& line : row_lines(lines[index + 1], columns)) {
      std::string whole = front + line;
      trim_end(whole);
      out += ink.toned(whole, rows[index].tone) + '\n';
      front = indent;
    }
  }
  return out;
}

// What came of an item in one word: the state, or for a mismatch how grave it is.
std::string mark_of(const CheckItem& item) {
  if (item.state.starts_with("match")) return item.tone == Tone::kWarning ? "?" : "ok";
  if (item.state.starts_with("unread")) return item.tone == Tone::kNote ? "-" : "?";
  if (item.state.starts_with("marginal")) return "marginal";
  const std::string_view word = word_of(item.tone);
  return word.empty() ? item.state : std::string{word};
}

}  // namespace

std::string to_text(const Table& table, const Ink& ink) {
  std::vector<MarkedRow> rows;
  rows.reserve(table.rows.size());
  for (const auto& row : table.rows) rows.push_back({std::string{word_of(row.tone)}, row.cells, row.tone});
  return grid(table.titles, rows, ink);
}

std::string to_text(const Checks& checks, const Ink& ink) {
  std::vector<MarkedRow> rows;
  rows.reserve(checks.items.size());
  for (const auto& item : checks.items) {
    const Tone tone = item.tone == Tone::kPlain && item.state.starts_with("match") ? Tone::kGood : item.tone;
    rows.push_back({mark_of(item), {item.subject, item.expected, item.actual, item.evidence}, tone});
  }
  return grid({"subject", "expected", "read", "known by"}, rows, ink);
}

}  // namespace host::report
