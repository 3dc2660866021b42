#include "host/report/json/value.hpp"

#include <algorithm>
#include <cassert>

namespace host::report::json {

Value& Value::set(std::string key, Value value) {
  auto* object = std::get_if<Object>(&data_);
  assert(object != nullptr);
  assert(std::none_of(object->begin(), object->end(),
                      [&](const Member& member) { return member.first == key; }));
  object->emplace_back(std::move(key), std::move(value));
  return *this;
}

}  // namespace host::report::json
