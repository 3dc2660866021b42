#include "tests/support/json_document.hpp"

#include <ostream>

#include <nlohmann/json.hpp>

namespace tests::support {
namespace {

using Json = nlohmann::json;

}  // namespace

JsonDocument::JsonDocument(Json value) : value_{std::make_shared<const Json>(std::move(value))} {}

JsonDocument JsonDocument::parse(std::string_view text) {
  Json value = Json::parse(text, nullptr, false);
  if (value.is_discarded()) return {};
  return JsonDocument{std::move(value)};
}

JsonDocument JsonDocument::operator[](std::string_view key) const {
  if (value_ == nullptr || !value_->is_object()) return {};
  const auto found = value_->find(std::string{key});
  if (found == value_->end()) return {};
  return JsonDocument{*found};
}

JsonDocument JsonDocument::operator[](int index) const {
  if (value_ == nullptr || !value_->is_array() || index < 0) return {};
  const auto place = static_cast<std::size_t>(index);
  if (place >= value_->size()) return {};
  return JsonDocument{(*value_)[place]};
}

bool JsonDocument::is_null() const {
  return value_ == nullptr || value_->is_null();
}

bool JsonDocument::is_text() const {
  return value_ != nullptr && value_->is_string();
}

std::size_t JsonDocument::size() const {
  return value_ != nullptr && value_->is_structured() ? value_->size() : 0;
}

std::vector<JsonDocument> JsonDocument::elements() const {
  std::vector<JsonDocument> all;
  if (size() == 0) return all;
  for (const Json& one : *value_) all.push_back(JsonDocument{one});
  return all;
}

std::vector<std::string> JsonDocument::keys() const {
  std::vector<std::string> all;
  if (value_ == nullptr || !value_->is_object()) return all;
  for (const auto& [key, value] : value_->items()) all.push_back(key);
  return all;
}

std::string JsonDocument::text() const {
  return is_text() ? value_->get<std::string>() : std::string{};
}

std::int64_t JsonDocument::number() const {
  return value_ != nullptr && value_->is_number() ? value_->get<std::int64_t>() : 0;
}

JsonDocument JsonDocument::with(const std::string& pointer, std::string_view value) const {
  Json changed = value_ == nullptr ? Json{} : *value_;
  changed[Json::json_pointer{pointer}] = Json::parse(value);
  return JsonDocument{std::move(changed)};
}

std::string JsonDocument::dump() const {
  return value_ == nullptr ? "null" : value_->dump();
}

bool operator==(const JsonDocument& left, const JsonDocument& right) {
  if (left.is_null() || right.is_null()) return left.is_null() && right.is_null();
  return *left.value_ == *right.value_;
}

bool operator==(const JsonDocument& left, std::string_view right) {
  return left.is_text() && left.value_->get_ref<const std::string&>() == right;
}

bool operator==(const JsonDocument& left, std::int64_t right) {
  return left.value_ != nullptr && left.value_->is_number_integer() && *left.value_ == right;
}

bool operator==(const JsonDocument& left, bool right) {
  return left.value_ != nullptr && left.value_->is_boolean() && left.value_->get<bool>() == right;
}

std::ostream& operator<<(std::ostream& out, const JsonDocument& document) {
  return out << document.dump();
}

}  // namespace tests::support
