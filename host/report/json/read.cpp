#include "host/report/json/read.hpp"

#include <algorithm>
#include <cstdint>
#include <iterator>
#include <limits>
#include <optional>
#include <utility>
#include <variant>
#include <vector>

#include <nlohmann/json.hpp>

namespace host::report::json {
namespace {

using Parser = nlohmann::json;

// The parser tells what it reads, but not where; so it is handed the text by one that counts.
class Counted {
 public:
  using iterator_category = std::input_iterator_tag;
  using value_type = char;
  using difference_type = std::ptrdiff_t;
  using pointer = const char*;
  using reference = const char&;

  Counted(std::string_view::const_iterator at, std::size_t& count) : at_{at}, count_{&count} {}
  reference operator*() const { return *at_; }
  Counted& operator++() {
    ++at_;
    ++*count_;
    return *this;
  }
  Counted operator++(int) {
    const Counted before = *this;
    ++*this;
    return before;
  }
  bool operator==(const Counted& other) const { return at_ == other.at_; }
  bool operator!=(const Counted& other) const { return at_ != other.at_; }

 private:
  std::string_view::const_iterator at_;
  std::size_t* count_;
};

// Builds the tree as the parser goes; false from any call ends the parsing. Its calls are named by the
// library.
class Builder final : public nlohmann::json_sax<Parser> {
 public:
  bool null() override { return refuse("null has no place in a document: what isn't known is left out"); }
  bool boolean(bool flag) override { return add(Value{flag}); }
  bool number_integer(std::int64_t number) override { return add(Value{number}); }
  bool number_unsigned(std::uint64_t number) override {
    if (number > static_cast<std::uint64_t>(std::numeric_limits<std::int64_t>::max())) return refuse_number();
    return add(Value{static_cast<std::int64_t>(number)});
  }
  bool number_float(double /*number*/, const std::string& /*text*/) override { return refuse_number(); }
  bool string(std::string& text) override { return is_short(text) && add(Value{std::move(text)}); }
  bool binary(Parser::binary_t& /*octets*/) override { return refuse("octets stand in no JSON text"); }

  bool start_object(std::size_t /*size*/) override { return open(Value::Object{}); }
  bool start_array(std::size_t /*size*/) override { return open(Value::Array{}); }
  bool end_object() override { return close(); }
  bool end_array() override { return close(); }
  bool key(std::string& name) override {
    if (!is_short(name)) return false;
    const auto& members = std::get<Value::Object>(open_.back().begun);
    const bool twice = std::any_of(members.begin(), members.end(),
                                   [&](const Value::Member& one) { return one.first == name; });
    if (twice) return refuse("a key stands twice in one object");
    open_.back().key = std::move(name);
    return true;
  }

  bool parse_error(std::size_t /*at*/, const std::string& /*token*/,
                   const nlohmann::detail::exception& /*error*/) override {
    return refuse("from here on it is no JSON, or ends too early");
  }

  [[nodiscard]] const std::string& refusal() const { return refusal_; }
  [[nodiscard]] Value take() { return std::move(*whole_); }

 private:
  using Begun = std::variant<Value::Object, Value::Array>;
  struct Level {
    Begun begun;
    std::string key;  // of the member that comes next
  };

  bool refuse(std::string_view what) {
    refusal_ = what;
    return false;
  }
  bool refuse_number() { return refuse("a number here is whole, and fits 64 bits"); }
  bool is_short(const std::string& text) {
    return text.size() <= kTextSizeMax || refuse("a text is longer than 8192 octets");
  }

  bool open(Begun begun) {
    if (open_.size() >= kNestingMax) return refuse("it is nested more than 32 deep");
    open_.push_back({std::move(begun), {}});
    return true;
  }
  bool close() {
    Value done = std::visit([](auto& begun) { return Value{std::move(begun)}; }, open_.back().begun);
    open_.pop_back();
    return add(std::move(done));
  }
  bool add(Value value) {
    if (open_.empty()) {
      whole_ = std::move(value);
      return true;
    }
    std::size_t size = 0;
    if (auto* object = std::get_if<Value::Object>(&open_.back().begun)) {
      object->emplace_back(std::move(open_.back().key), std::move(value));
      size = object->size();
    } else {
      auto& array = std::get<Value::Array>(open_.back().begun);
      array.push_back(std::move(value));
      size = array.size();
    }
    return size <= kMembersMax || refuse("an object or array has more than 4096 members");
  }

  std::vector<Level> open_;
  std::optional<Value> whole_;
  std::string refusal_;
};

// Where the octet before `count` stands: that is the last one looked at.
Refusal refusal_at(std::string_view text, std::size_t count, const std::string& what) {
  const std::string_view before = text.substr(0, count == 0 ? 0 : std::min(count, text.size()) - 1);
  const std::size_t line_start = before.rfind('\n') + 1;  // npos + 1 is 0
  return {static_cast<int>(1 + std::count(before.begin(), before.end(), '\n')),
          static_cast<int>(1 + before.size() - line_start), what};
}

}  // namespace

tl::expected<Value, Refusal> read(std::string_view text) {
  std::size_t count = 0;
  Builder builder;
  std::size_t nowhere = 0;
  const bool whole = Parser::sax_parse(Counted{text.begin(), count}, Counted{text.end(), nowhere}, &builder);
  if (!whole) return tl::unexpected{refusal_at(text, count, builder.refusal())};
  return builder.take();
}

const Value* member(const Value& value, std::string_view key) {
  const auto* object = std::get_if<Value::Object>(&value.data());
  if (object == nullptr) return nullptr;
  const auto found = std::find_if(object->begin(), object->end(),
                                  [key](const Value::Member& one) { return one.first == key; });
  return found == object->end() ? nullptr : &found->second;
}

}  // namespace host::report::json
