#include "tests/support/json_schema.hpp"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <string_view>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <regex.h>

namespace tests::support {
namespace {

using Json = nlohmann::json;

class Validator {
 public:
  explicit Validator(const Json& root) : root_{root} {}

  void check(const Json& schema, const Json& value, const std::string& place) {
    if (schema.is_boolean()) {
      if (!schema.get<bool>()) complain(place, "is not allowed here");
      return;
    }
    for (const auto& [keyword, rule] : schema.items()) keyword_of(keyword, rule, schema, value, place);
  }

  [[nodiscard]] std::vector<std::string> complaints() && { return std::move(complaints_); }

 private:
  void complain(const std::string& place, const std::string& what) {
    complaints_.push_back((place.empty() ? "/" : place) + ": " + what);
  }

  void keyword_of(const std::string& keyword, const Json& rule, const Json& schema, const Json& value,
                  const std::string& place) {
    static const std::set<std::string_view> kWithoutRule{"$schema", "$id",         "$defs",
                                                         "title",   "description", "$comment"};
    if (keyword == "$ref") {
      const std::string pointer = rule.get<std::string>().substr(1);
      check(root_.at(Json::json_pointer{pointer}), value, place);
    } else if (keyword == "type") {
      if (!has_type(rule, value)) complain(place, "is not of type " + rule.dump());
    } else if (keyword == "enum") {
      if (std::find(rule.begin(), rule.end(), value) == rule.end())
        complain(place, value.dump() + " is not in " + rule.dump());
    } else if (keyword == "const") {
      if (value != rule) complain(place, value.dump() + " is not " + rule.dump());
    } else if (keyword == "anyOf") {
      any_of(rule, value, place);
    } else if (value.is_object() && object_keyword(keyword, rule, schema, value, place)) {
    } else if (value.is_array() && array_keyword(keyword, rule, value, place)) {
    } else if (value.is_number() && number_keyword(keyword, rule, value, place)) {
    } else if (value.is_string() && text_keyword(keyword, rule, value.get<std::string>(), place)) {
    } else if (!kWithoutRule.contains(keyword) && !kForOtherTypes.contains(keyword)) {
      complain(place, "the schema says " + keyword + ", which this check doesn't know");
    }
  }

  bool object_keyword(const std::string& keyword, const Json& rule, const Json& schema, const Json& value,
                      const std::string& place) {
    if (keyword == "properties") {
      for (const auto& [name, inner] : rule.items()) {
        if (value.contains(name)) check(inner, value.at(name), place + "/" + name);
      }
    } else if (keyword == "required") {
      for (const auto& name : rule) {
        if (!value.contains(name.get<std::string>())) complain(place, "lacks " + name.dump());
      }
    } else if (keyword == "additionalProperties") {
      for (const auto& [name, inner] : value.items()) {
        if (schema.contains("properties") && schema.at("properties").contains(name)) continue;
        if (rule == Json(false))
          complain(place, "has the unknown key \"" + name + "\"");
        else
          check(rule, inner, place + "/" + name);
      }
    } else {
      return false;
    }
    return true;
  }

  bool array_keyword(const std::string& keyword, const Json& rule, const Json& value,
                     const std::string& place) {
    if (keyword == "items") {
      for (std::size_t index = 0; index < value.size(); ++index)
        check(rule, value.at(index), place + "/" + std::to_string(index));
    } else if (keyword == "minItems") {
      if (value.size() < rule.get<std::size_t>()) complain(place, "has too few elements");
    } else {
      return false;
    }
    return true;
  }

  bool number_keyword(const std::string& keyword, const Json& rule, const Json& value,
                      const std::string& place) {
    if (keyword == "minimum") {
      if (value < rule) complain(place, value.dump() + " is below " + rule.dump());
    } else if (keyword == "maximum") {
      if (value > rule) complain(place, value.dump() + " is above " + rule.dump());
    } else {
      return false;
    }
    return true;
  }

  bool text_keyword(const std::string& keyword, const Json& rule, const std::string& text,
                    const std::string& place) {
    if (keyword == "minLength") {
      if (text.size() < rule.get<std::size_t>()) complain(place, "is too short");
    } else if (keyword == "pattern") {
      regex_t pattern;  // POSIX extended, which says the same for the patterns our schemas have
      const bool sound = regcomp(&pattern, rule.get<std::string>().c_str(), REG_EXTENDED | REG_NOSUB) == 0;
      if (!sound || regexec(&pattern, text.c_str(), 0, nullptr, 0) != 0)
        complain(place, "does not match " + rule.dump());
      if (sound) regfree(&pattern);
    } else {
      return false;
    }
    return true;
  }

  void any_of(const Json& rule, const Json& value, const std::string& place) {
    for (const auto& choice : rule) {
      Validator apart{root_};
      apart.check(choice, value, place);
      if (apart.complaints_.empty()) return;
    }
    complain(place, "fits none of the choices");
  }

  static bool has_type(const Json& rule, const Json& value) {
    if (rule.is_array())
      return std::any_of(rule.begin(), rule.end(), [&](const Json& one) { return has_type(one, value); });
    const auto name = rule.get<std::string>();
    return (name == "object" && value.is_object()) || (name == "array" && value.is_array()) ||
           (name == "string" && value.is_string()) || (name == "boolean" && value.is_boolean()) ||
           (name == "integer" && value.is_number_integer()) || (name == "number" && value.is_number()) ||
           (name == "null" && value.is_null());
  }

  // Rules that say nothing about a value of another type.
  inline static const std::set<std::string_view> kForOtherTypes{
      "properties", "required", "additionalProperties", "items", "minItems", "minimum", "maximum",
      "minLength",  "pattern"};

  const Json& root_;
  std::vector<std::string> complaints_;
};

}  // namespace

std::vector<std::string> schema_complaints_of_text(const std::string& schema, const std::string& document) {
  std::vector<std::string> complaints;
  std::vector<std::set<std::string>> keys;
  const auto watch = [&](int, Json::parse_event_t event, Json& parsed) {
    if (event == Json::parse_event_t::object_start) keys.emplace_back();
    if (event == Json::parse_event_t::object_end) keys.pop_back();
    if (event == Json::parse_event_t::key && !keys.back().insert(parsed.get<std::string>()).second) {
      complaints.push_back("the key " + parsed.dump() + " stands twice");
    }
    return true;
  };
  const Json rules = Json::parse(schema, nullptr, false);
  const Json value = Json::parse(document, watch, false);
  if (rules.is_discarded()) return {"the schema is no JSON"};
  if (value.is_discarded()) return {"the document is no JSON"};
  Validator validator{rules};
  validator.check(rules, value, "");
  for (auto& complaint : std::move(validator).complaints()) complaints.push_back(std::move(complaint));
  return complaints;
}

std::string shipped_text(const std::string& path) {
  const char* source = std::getenv("STRAPLINE_SOURCE");  // NOLINT(concurrency-mt-unsafe): one thread
  std::ifstream file{std::filesystem::path{source == nullptr ? "." : source} / path, std::ios::binary};
  REQUIRE(file.good());
  return {std::istreambuf_iterator<char>{file}, {}};
}

}  // namespace tests::support
