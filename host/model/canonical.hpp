#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

namespace host::model {

/// What a file says, freed of how it says it: quantities as whole numbers of their units, forms that mean
/// the same made the same. A kit's digest is taken over this. Every key that a reader takes ends up here,
/// and a key that no reader takes is an error, so nothing a file says can fail to reach the digest.
struct Canonical {
  enum class Kind { kWhole, kTruth, kText, kList, kTable };
  Kind kind = Kind::kTable;
  std::int64_t whole = 0;  // also kTruth: 0 or 1
  std::string text;
  std::vector<std::pair<std::string, Canonical>> members;  // of a list: keys are empty

  static Canonical of(std::int64_t value);
  static Canonical of(bool value);
  static Canonical of(std::string value);
  static Canonical list();

  void add(std::string key, Canonical value) { members.emplace_back(std::move(key), std::move(value)); }
  void add(Canonical value) { members.emplace_back(std::string(), std::move(value)); }
};

/// SHA-256 of a canonical value as JSON: keys sorted, no spaces, whole numbers only.
/// Returns  64 hexadecimal digits, in lower case.
/// Source   FIPS 180-4, by libmd.
[[nodiscard]] std::string digest(const Canonical& value);

/// The text that digest() is taken over.
[[nodiscard]] std::string canonical_json(const Canonical& value);

}  // namespace host::model
