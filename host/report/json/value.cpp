#include "host/report/json/value.hpp"

#include <algorithm>
#include <cassert>

namespace host::report::json {

Value::Value() : data_{Object{}} {}
Value::Value(bool value) : data_{value} {}
Value::Value(std::int64_t value) : data_{value} {}
Value::Value(int value) : data_{std::int64_t{value}} {}
Value::Value(std::string value) : data_{std::move(value)} {}
Value::Value(std::string_view value) : data_{std::string{value}} {}
Value::Value(const char* value) : data_{std::string{value}} {}
Value::Value(Array value) : data_{std::move(value)} {}
Value::Value(Object value) : data_{std::move(value)} {}

Value::Value(const Value& other) = default;
Value::Value(Value&& other) noexcept = default;
Value& Value::operator=(const Value& other) = default;
Value& Value::operator=(Value&& other) noexcept = default;
Value::~Value() = default;

Value& Value::set(std::string key, Value value) {
  auto* object = std::get_if<Object>(&data_);
  assert(object != nullptr);
  assert(std::none_of(object->begin(), object->end(),
                      [&](const Member& member) { return member.first == key; }));
  object->emplace_back(std::move(key), std::move(value));
  return *this;
}

}  // namespace host::report::json
