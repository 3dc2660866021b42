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
  std::string key;                 // of a member of a table
  std::vector<Canonical> members;  // of a table or a list

  static Canonical of(std::int64_t value);
  static Canonical of(bool value);
  static Canonical of(std::string value);
  static Canonical list();

  /// A member of a list.
  void add(Canonical value) { members.push_back(std::move(value)); }
  /// A member of a table; one added later replaces one of the same key.
  void add(std::string member_key, Canonical value) {
    value.key = std::move(member_key);
    members.push_back(std::move(value));
  }
};

/// SHA-256 of a canonical value as JSON: keys sorted, no spaces, whole numbers only.
/// Returns  64 hexadecimal digits, in lower case.
/// Source   FIPS 180-4, by libmd.
[[nodiscard]] std::string digest(const Canonical& value);

/// The text that digest() is taken over.
[[nodiscard]] std::string canonical_json(const Canonical& value);

}  // namespace host::model
