#pragma once

#include <string>

#include <doctest/doctest.h>

#include "tests/support/json_schema.hpp"
#include "tests/support/run_program.hpp"

namespace tests::e2e {

/// Holds a JSON document against a schema of the source tree, and names each difference.
inline void check_shape(const std::string& schema, const std::string& document) {
  const std::string rules = support::file_text(support::source_path(schema));
  for (const auto& complaint : support::schema_complaints_of_text(rules, document)) FAIL_CHECK(complaint);
}

}  // namespace tests::e2e
