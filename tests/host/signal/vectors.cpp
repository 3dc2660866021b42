#include "tests/host/signal/vectors.hpp"

#include <cstdlib>
#include <fstream>

namespace tests {
namespace {

std::vector<std::string> cells(const std::string& line) {
  std::vector<std::string> result(1);
  for (const char c : line) {
    if (c == ',') {
      result.emplace_back();
    } else if (c != '\r') {
      result.back() += c;
    }
  }
  return result;
}

}  // namespace

std::vector<CsvRow> read_vectors(const std::string& name) {
  const char* source = std::getenv("STRAPLINE_SOURCE");
  std::ifstream file((source != nullptr ? std::string(source) : std::string(".")) + "/tests/vectors/" + name);
  std::string line;
  std::getline(file, line);
  const auto titles = cells(line);
  std::vector<CsvRow> rows;
  while (std::getline(file, line)) {
    const auto values = cells(line);
    CsvRow row;
    for (std::size_t i = 0; i < titles.size() && i < values.size(); ++i) row[titles[i]] = values[i];
    rows.push_back(row);
  }
  return rows;
}

long long number(const CsvRow& row, const std::string& column) {
  return std::stoll(row.at(column));
}

}  // namespace tests
