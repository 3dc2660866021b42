#include "host/report/grid.hpp"

#include <algorithm>
#include <numeric>

#include "host/report/columns.hpp"

namespace host::report {
namespace {

constexpr int kGap = 2;        // between columns
constexpr int kMarkWidth = 3;  // mark and a space

struct Column {
  int width = 0;
  int width_min = 0;
};

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
  while (!columns.empty() && total() > space) {
    auto widest = columns.end();
    for (auto column = columns.begin(); column != columns.end(); ++column) {
      const bool shrinks = column->width > column->width_min;
      if (shrinks && (widest == columns.end() || column->width > widest->width)) widest = column;
    }
    if (widest == columns.end()) break;
    --widest->width;
  }
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

std::string stated(const CheckItem& item) {
  const bool tells = item.tone == Tone::kDanger || item.tone == Tone::kFault || item.tone == Tone::kWarning;
  if (!tells || item.state == "match") return item.state;
  return item.state + ", " + std::string{word_of(item.tone)};
}

}  // namespace

std::string to_text(const Table& table, const Ink& ink) {
  const bool marks = std::any_of(table.rows.begin(), table.rows.end(),
                                 [](const auto& row) { return row.tone != Tone::kPlain; });
  std::vector<std::vector<std::string>> lines;
  lines.push_back(plain_cells(table.titles, ink));
  for (const auto& row : table.rows) lines.push_back(plain_cells(row.cells, ink));
  const std::vector<Column> columns = columns_for(lines, ink.width() - (marks ? kMarkWidth : 0));
  const std::string indent(marks ? kMarkWidth : 0, ' ');

  std::string out;
  if (!table.titles.empty()) {
    for (auto& line : row_lines(lines.front(), columns)) out += indent + ink.strong(line) + '\n';
    std::string rule;
    for (std::size_t index = 0; index < columns.size(); ++index) {
      if (index > 0) rule.append(kGap, ' ');
      for (int column = 0; column < columns[index].width; ++column) rule += "─";
    }
    out += indent + ink.plain(rule) + '\n';
  }
  for (std::size_t index = 0; index < table.rows.size(); ++index) {
    const Tone tone = table.rows[index].tone;
    bool first = true;
    for (const auto& line : row_lines(lines[index + 1], columns)) {
      std::string front = indent;
      if (marks && first) front = padded(mark_of(tone), kMarkWidth);
      first = false;
      out += ink.toned(front + line, tone) + '\n';
    }
  }
  return out;
}

std::string to_text(const Checks& checks, const Ink& ink) {
  Table table;
  table.titles = {"subject", "expected", "read", "known by", "state"};
  for (const auto& item : checks.items) {
    const Tone tone = item.tone == Tone::kPlain && item.state == "match" ? Tone::kGood : item.tone;
    table.rows.push_back({{item.subject, item.expected, item.actual, item.evidence, stated(item)}, tone});
  }
  return to_text(table, ink);
}

}  // namespace host::report
