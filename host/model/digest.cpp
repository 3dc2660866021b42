#include <array>

#include <nlohmann/json.hpp>
#include <sha2.h>

#include "host/model/canonical.hpp"

namespace host::model {
namespace {

nlohmann::json to_json(const Canonical& value) {
  switch (value.kind) {
    case Canonical::Kind::kWhole: return value.whole;
    case Canonical::Kind::kTruth: return value.whole != 0;
    case Canonical::Kind::kText: return value.text;
    case Canonical::Kind::kList: {
      nlohmann::json list = nlohmann::json::array();
      for (const Canonical& member : value.members) list.push_back(to_json(member));
      return list;
    }
    case Canonical::Kind::kTable: break;
  }
  nlohmann::json table = nlohmann::json::object();  // keeps its keys sorted
  for (const Canonical& member : value.members) table[member.key] = to_json(member);
  return table;
}

}  // namespace

Canonical Canonical::of(std::int64_t value) {
  Canonical canonical;
  canonical.kind = Kind::kWhole;
  canonical.whole = value;
  return canonical;
}

Canonical Canonical::of(bool value) {
  Canonical canonical;
  canonical.kind = Kind::kTruth;
  canonical.whole = value ? 1 : 0;
  return canonical;
}

Canonical Canonical::of(std::string value) {
  Canonical canonical;
  canonical.kind = Kind::kText;
  canonical.text = std::move(value);
  return canonical;
}

Canonical Canonical::list() {
  Canonical canonical;
  canonical.kind = Kind::kList;
  return canonical;
}

std::string canonical_json(const Canonical& value) {
  return to_json(value).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

std::string digest(const Canonical& value) {
  const std::string text = canonical_json(value);
  std::array<char, SHA256_DIGEST_STRING_LENGTH> hex{};
  SHA256Data(reinterpret_cast<const std::uint8_t*>(text.data()), text.size(), hex.data());
  return hex.data();
}

}  // namespace host::model
