#pragma once

#include <cstddef>
#include <cstdint>
#include <iosfwd>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include <nlohmann/json_fwd.hpp>

namespace tests::support {

/// A JSON text as tests look at it, kept apart from the library so that few files compile it.
///
/// A part that isn't there reads as null, which equals nothing but null; so a test may go down a path and
/// compare at its end. Comparing a part with a value of another type is false.
class JsonDocument {
 public:
  JsonDocument() = default;  // null

  /// Reads `text`; a text that is no JSON reads as null.
  [[nodiscard]] static JsonDocument parse(std::string_view text);

  [[nodiscard]] JsonDocument operator[](std::string_view key) const;
  [[nodiscard]] JsonDocument operator[](const char* key) const { return (*this)[std::string_view{key}]; }
  [[nodiscard]] JsonDocument operator[](int index) const;

  [[nodiscard]] bool is_null() const;
  [[nodiscard]] bool is_text() const;
  [[nodiscard]] bool contains(std::string_view key) const { return !(*this)[key].is_null(); }
  /// Members or elements; 0 for anything else.
  [[nodiscard]] std::size_t size() const;
  [[nodiscard]] bool empty() const { return size() == 0; }
  /// The elements of an array, or the values of an object by key; none for anything else.
  [[nodiscard]] std::vector<JsonDocument> elements() const;
  /// The keys of an object, sorted; none for anything else.
  [[nodiscard]] std::vector<std::string> keys() const;

  /// The value, or "" and 0 where it is of another type.
  [[nodiscard]] std::string text() const;
  [[nodiscard]] std::int64_t number() const;

  /// The same document with the value at `pointer` (RFC 6901) replaced by `value`, itself JSON; a last key
  /// that isn't there is added.
  [[nodiscard]] JsonDocument with(const std::string& pointer, std::string_view value) const;

  /// As JSON, in one line.
  [[nodiscard]] std::string dump() const;

  friend bool operator==(const JsonDocument& left, const JsonDocument& right);
  friend bool operator==(const JsonDocument& left, std::string_view right);
  friend bool operator==(const JsonDocument& left, const char* right) {
    return left == std::string_view{right};
  }
  friend bool operator==(const JsonDocument& left, const std::string& right) {
    return left == std::string_view{right};
  }
  friend bool operator==(const JsonDocument& left, std::int64_t right);
  friend bool operator==(const JsonDocument& left, int right) { return left == std::int64_t{right}; }
  friend bool operator==(const JsonDocument& left, bool right);
  friend std::ostream& operator<<(std::ostream& out, const JsonDocument& document);

 private:
  explicit JsonDocument(nlohmann::json value);

  std::shared_ptr<const nlohmann::json> value_;  // null: null
};

}  // namespace tests::support
