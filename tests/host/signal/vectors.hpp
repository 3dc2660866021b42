#pragma once

#include <map>
#include <string>
#include <vector>

namespace tests {

using CsvRow = std::map<std::string, std::string>;

/// Rows of tests/vectors/NAME by column title; no quoting. An unreadable file gives none.
std::vector<CsvRow> read_vectors(const std::string& name);

/// A column as a number.
long long number(const CsvRow& row, const std::string& column);

}  // namespace tests
