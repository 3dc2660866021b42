#pragma once

#include <cstdint>
#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace host::report::json {

/// A plain JSON value. Numbers are whole (units are chosen so that they are); objects keep the order in which
/// keys were added, so the same document is always written the same.
class Value {
 public:
  using Array = std::vector<Value>;
  using Member = std::pair<std::string, Value>;
  using Object = std::vector<Member>;

  Value();
  Value(bool value);              // NOLINT(google-explicit-constructor)
  Value(std::int64_t value);      // NOLINT(google-explicit-constructor)
  Value(int value);               // NOLINT(google-explicit-constructor)
  Value(std::string value);       // NOLINT(google-explicit-constructor)
  Value(std::string_view value);  // NOLINT(google-explicit-constructor)
  Value(const char* value);       // NOLINT(google-explicit-constructor)
  Value(Array value);             // NOLINT(google-explicit-constructor)
  Value(Object value);            // NOLINT(google-explicit-constructor)

  // Defined once, not in each file that builds a document: there are many, and a tree's copying and ending
  // are most of what they would compile.
  Value(const Value& other);
  Value(Value&& other) noexcept;
  Value& operator=(const Value& other);
  Value& operator=(Value&& other) noexcept;
  ~Value();

  /// Adds a member to an object. Precondition: this is an object without that key.
  Value& set(std::string key, Value value);

  [[nodiscard]] const std::variant<bool, std::int64_t, std::string, Array, Object>& data() const {
    return data_;
  }

 private:
  std::variant<bool, std::int64_t, std::string, Array, Object> data_;
};

/// The document as UTF-8 text, two spaces a level, a newline at the end. Octets that are not UTF-8 become
/// U+FFFD; control and bidirectional-override characters are escaped.
[[nodiscard]] std::string write(const Value& document);

}  // namespace host::report::json
