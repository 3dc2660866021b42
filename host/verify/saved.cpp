#include "host/verify/saved.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdint>
#include <optional>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "host/report/document.hpp"
#include "host/report/json/read.hpp"
#include "host/verify/wording.hpp"
#include "protocol/points/layout.hpp"
#include "protocol/points/words.hpp"

namespace host::verify {
namespace {

using protocol::points::Point;
using protocol::points::Reading;
using protocol::points::Unread;
using report::json::Value;

constexpr std::string_view kSchema = "strapline/verify/1";
constexpr std::int64_t kWordMax = 0xFFFF;
constexpr std::int64_t kAddressMax = 255;
constexpr std::int64_t kCountMax = 1'000'000'000'000'000;  // of anything that is counted; us: thirty years
constexpr std::int64_t kMeasureMax = 1'000'000'000'000;    // of any quantity a board measures
constexpr std::size_t kEdidSizeMax = 512;                  // octets
constexpr std::size_t kNamedMax = 80;                      // octets of what a file says, in an error

std::string named(std::string_view text) {
  const std::string clean = report::cleaned(text.substr(0, kNamedMax));
  return text.size() > kNamedMax ? clean + "…" : clean;
}

/// One object of the document, its values asked for by name; the first that isn't right is kept.
class Part {
 public:
  Part(const Value* value, std::string name, std::string& wrong)
      : value_{value}, name_{std::move(name)}, wrong_{wrong} {
    if (value_ == nullptr || !std::holds_alternative<Value::Object>(value_->data())) {
      complain("", "is missing, or no object");
      value_ = nullptr;
    }
  }

  [[nodiscard]] Part part(std::string_view key) const {
    return {find(key), name_ + std::string{key} + '.', wrong_};
  }

  [[nodiscard]] const Value::Object& members() const {
    static const Value::Object kNone;
    return value_ == nullptr ? kNone : std::get<Value::Object>(value_->data());
  }

  [[nodiscard]] bool has(std::string_view key) const { return find(key) != nullptr; }

  [[nodiscard]] std::string text(std::string_view key) const {
    const Value* found = find(key);
    const auto* text = found == nullptr ? nullptr : std::get_if<std::string>(&found->data());
    if (text == nullptr) complain(key, "is missing, or no text");
    return text == nullptr ? std::string{} : report::cleaned(*text);
  }

  [[nodiscard]] std::int64_t number(std::string_view key, std::int64_t most) const {
    const Value* found = find(key);
    const auto* number = found == nullptr ? nullptr : std::get_if<std::int64_t>(&found->data());
    if (number != nullptr && *number >= 0 && *number <= most) return *number;
    complain(key, fmt::format("is missing, or no number from 0 to {}", most));
    return 0;
  }

  [[nodiscard]] bool flag(std::string_view key) const {
    const Value* found = find(key);
    const auto* flag = found == nullptr ? nullptr : std::get_if<bool>(&found->data());
    if (flag == nullptr) complain(key, "is missing, or neither true nor false");
    return flag != nullptr && *flag;
  }

  void complain(std::string_view key, std::string_view what) const {
    if (!wrong_.empty()) return;
    std::string where = name_ + std::string{key};
    if (where.ends_with('.')) where.pop_back();
    wrong_ = fmt::format("{} {}", where.empty() ? "the document" : named(where), what);
  }

 private:
  [[nodiscard]] const Value* find(std::string_view key) const {
    return value_ == nullptr ? nullptr : report::json::member(*value_, key);
  }

  const Value* value_;
  std::string name_;  // "snapshot.", before its keys
  std::string& wrong_;
};

/// By what rules a unit's numbers were read: this project's profile, or registers of the board's own.
struct Rules {
  bool has_profile = false;
  bool is_newer = false;  // a minor version that may have more points
};

// A foreign board's registers can hold more than this project's, but only of what is measured.
bool can_be_read(Point point, std::int64_t number, const Rules& rules) {
  constexpr std::array<std::string_view, 7> kCounted{"choice", "bits",    "count", "index",
                                                     "word",   "version", "strap"};
  std::array<std::uint16_t, 16> registers{};
  if (protocol::points::encode(point, number, registers)) return true;
  const auto& words = protocol::points::words(point);
  const bool measured = std::ranges::find(kCounted, words.unit) == kCounted.end() && words.unit != "text";
  return !rules.has_profile && measured && number >= -kMeasureMax && number <= kMeasureMax;
}

bool is_text(Point point) {
  return protocol::points::words(point).unit == "text";
}

// Cleaned, a text may have grown beyond what a unit's registers hold; it is cut between two characters.
std::string fitting(std::string_view text) {
  std::string clean = report::cleaned(text);
  std::size_t size = std::min(clean.size(), Reading{}.text_octets.size());
  const auto continues = [&](std::size_t at) {
    return (static_cast<unsigned char>(clean[at]) & 0xC0U) == 0x80U;
  };
  while (size < clean.size() && size > 0 && continues(size)) --size;
  clean.resize(size);
  return clean;
}

std::optional<Reading> reading_of(Point point, const Value& value, const Rules& rules) {
  Reading reading;
  if (const auto* number = std::get_if<std::int64_t>(&value.data())) {
    reading.kind = Reading::Kind::kNumber;
    reading.number = *number;
    return !is_text(point) && can_be_read(point, *number, rules) ? std::optional{reading} : std::nullopt;
  }
  const auto* said = std::get_if<std::string>(&value.data());
  if (said == nullptr || !is_text(point)) return std::nullopt;
  const std::string text = fitting(*said);
  reading.kind = Reading::Kind::kText;
  reading.text_size = static_cast<std::uint8_t>(text.size());
  std::copy(text.begin(), text.end(), reading.text_octets.begin());
  return reading;
}

std::optional<Reading> unread_of(const Value& value) {
  const auto* why = std::get_if<std::string>(&value.data());
  for (const Unread unread : {Unread::kNotFitted, Unread::kAsleep, Unread::kNoEdges}) {
    if (why == nullptr || *why != to_text(unread)) continue;
    Reading reading;
    reading.unread = unread;
    return reading;
  }
  return std::nullopt;
}

// A version is its major number in the high octet, its minor in the low one.
Rules rules_of(const Part& points) {
  constexpr std::string_view kName = "identity.profile";
  Rules rules;
  rules.has_profile = points.has(kName);
  if (!rules.has_profile) return rules;
  const std::int64_t version = points.number(kName, kWordMax);
  if (version >> 8 != protocol::points::kProfileMajor) {
    points.complain(kName, fmt::format("is {}.{}; this program knows {}.{}", version >> 8, version & 0xFF,
                                       protocol::points::kProfileMajor, protocol::points::kProfileMinor));
  }
  rules.is_newer = (version & 0xFF) > protocol::points::kProfileMinor;
  return rules;
}

void read_points(const Part& part, bool unread, const Rules& rules, Snapshot& snapshot) {
  for (const auto& [name, value] : part.members()) {
    const auto point = protocol::points::find(name);
    if (!point && rules.is_newer) continue;
    if (!point) return part.complain(name, "is no point of this profile");
    const auto reading = unread ? unread_of(value) : reading_of(*point, value, rules);
    if (!reading) return part.complain(name, "has a value that no unit can have read");
    if (!snapshot.points.emplace(*point, *reading).second) {
      return part.complain(name, "is read and unread at once");
    }
  }
}

std::vector<std::uint8_t> octets_of(const Part& part, std::string_view key) {
  const std::string text = part.text(key);
  std::vector<std::uint8_t> octets(text.size() / 2);
  bool sound = text.size() % 2 == 0 && octets.size() <= kEdidSizeMax;
  for (std::size_t i = 0; sound && i < octets.size(); ++i) {
    const char* const at = text.data() + 2 * i;
    const auto [end, error] = std::from_chars(at, at + 2, octets[i], 16);
    sound = error == std::errc{} && end == at + 2;
  }
  if (!sound) part.complain(key, fmt::format("is not {} octets at most in hexadecimal", kEdidSizeMax));
  return sound ? octets : std::vector<std::uint8_t>{};
}

Consistency consistency_of(const Part& part) {
  const std::string text = part.text("consistency");
  for (const Consistency one : {Consistency::kLatched, Consistency::kBracketed, Consistency::kLoose}) {
    if (text == to_text(one)) return one;
  }
  if (text != to_text(Consistency::kTorn))
    part.complain("consistency", "is none of latched, bracketed, loose, torn");
  return Consistency::kTorn;
}

void read_snapshot(const Part& part, Snapshot& snapshot) {
  snapshot.consistency = consistency_of(part);
  snapshot.generation = static_cast<std::uint16_t>(part.number("generation", kWordMax));
  const Part points = part.part("points");
  const Rules rules = rules_of(points);
  read_points(points, false, rules, snapshot);
  read_points(part.part("unread"), true, rules, snapshot);
  if (part.has("trouble")) snapshot.trouble = part.text("trouble");
  if (part.has("trouble_remedy")) snapshot.trouble_remedy = part.text("trouble_remedy");
  if (part.has("shared_address")) snapshot.shared_address = part.flag("shared_address");
  if (snapshot.shared_address && snapshot.trouble.empty()) {
    part.complain("shared_address", "is said without the trouble that it is");
  }
  if (part.has("edid")) snapshot.edid = octets_of(part, "edid");
  if (part.has("edid_unreadable")) snapshot.edid_unreadable = part.flag("edid_unreadable");
}

UnitIdentity unit_of(const Part& part) {
  UnitIdentity unit;
  unit.address = static_cast<int>(part.number("address", kAddressMax));
  unit.serial = part.text("serial");
  unit.model = part.text("model");
  unit.firmware = part.text("firmware");
  if (part.has("board")) unit.board = part.text("board");
  return unit;
}

Wire wire_of(const Part& part) {
  Wire wire;
  wire.transactions = part.number("transactions", kCountMax);
  wire.bytes = part.number("bytes", kCountMax);
  wire.retries = part.number("retries", kCountMax);
  wire.elapsed_us = part.number("elapsed_us", kCountMax);
  wire.bad_frames = part.number("bad_frames", kCountMax);
  wire.stray_octets = part.number("stray_octets", kCountMax);
  wire.gate_broken = part.flag("gate_broken");
  return wire;
}

}  // namespace

tl::expected<Snapshot, std::string> saved_snapshot(const Value& document) {
  std::string wrong;
  const Part whole{&document, "", wrong};
  const std::string schema = whole.text("schema");
  if (schema != kSchema) {
    whole.complain("schema", fmt::format("is {}, not {}", named(schema), kSchema));
  }
  Snapshot snapshot;
  snapshot.unit = unit_of(whole.part("unit"));
  read_snapshot(whole.part("snapshot"), snapshot);
  const auto* serial = reading_of(snapshot, protocol::points::Point::kIdentitySerial);
  if (serial != nullptr && serial->kind == protocol::points::Reading::Kind::kText &&
      text_of(*serial) != snapshot.unit.serial) {
    whole.complain("unit.serial", "is not the one that was read, identity.serial");
  }
  snapshot.wire = wire_of(whole.part("wire"));
  const Part kit = whole.part(whole.has("taken_with") ? "taken_with" : "kit");
  snapshot.taken_with = TakenWith{kit.text("id"), kit.text("revision"), kit.text("digest")};
  if (!wrong.empty()) return tl::unexpected{std::move(wrong)};
  return snapshot;
}

}  // namespace host::verify
