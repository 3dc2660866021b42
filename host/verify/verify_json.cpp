#include <utility>

#include <fmt/format.h>

#include "host/expect/document.hpp"
#include "host/report/document.hpp"
#include "host/verify/document.hpp"
#include "host/verify/wording.hpp"
#include "protocol/points/words.hpp"

namespace host::verify {
namespace {

using report::json::Value;

Value unit_json(const UnitIdentity& unit) {
  Value value;
  value.set("address", unit.address);
  value.set("serial", unit.serial);
  value.set("model", unit.model);
  value.set("firmware", unit.firmware);
  if (!unit.board.empty()) value.set("board", unit.board);
  return value;
}

std::string hexadecimal(const std::vector<std::uint8_t>& octets) {
  std::string text;
  for (const std::uint8_t octet : octets) text += fmt::format("{:02x}", octet);
  return text;
}

Value snapshot_json(const Snapshot& snapshot) {
  Value points;
  Value unread;
  for (const auto& [point, reading] : snapshot.points) {
    std::string name{protocol::points::words(point).name};
    switch (reading.kind) {
      case protocol::points::Reading::Kind::kNumber: points.set(std::move(name), reading.number); break;
      case protocol::points::Reading::Kind::kText: points.set(std::move(name), text_of(reading)); break;
      case protocol::points::Reading::Kind::kUnread:
        unread.set(std::move(name), to_text(reading.unread));
        break;
    }
  }
  Value value;
  value.set("consistency", to_text(snapshot.consistency));
  value.set("generation", std::int64_t{snapshot.generation});
  value.set("points", std::move(points));
  value.set("unread", std::move(unread));
  if (!snapshot.trouble.empty()) value.set("trouble", report::cleaned(snapshot.trouble));
  if (!snapshot.trouble_remedy.empty()) value.set("trouble_remedy", report::cleaned(snapshot.trouble_remedy));
  if (snapshot.shared_address) value.set("shared_address", true);
  if (!snapshot.edid.empty()) value.set("edid", hexadecimal(snapshot.edid));
  if (snapshot.edid_unreadable) value.set("edid_unreadable", true);
  return value;
}

Value taken_with_json(const TakenWith& kit) {
  Value value;
  value.set("id", kit.kit);
  value.set("revision", kit.revision);
  value.set("digest", kit.digest);
  return value;
}

Value item_json(const Item& item) {
  Value value;
  value.set("subject", item.subject);
  value.set("expected", item.expected);
  if (!item.actual.empty()) value.set("actual", item.actual);
  value.set("evidence", to_text(item.evidence));
  if (!item.by.empty()) value.set("by", item.by);
  value.set("state", to_text(item.state));
  if (!item.reason.empty()) value.set("reason", item.reason);
  value.set("required", item.required);
  return value;
}

Value coverage_json(const Coverage& coverage) {
  Value value;
  value.set("required", coverage.required);
  value.set("known", coverage.known);
  value.set("attested", coverage.attested);
  return value;
}

Value wire_json(const Wire& wire) {
  Value value;
  value.set("transactions", wire.transactions);
  value.set("bytes", wire.bytes);
  value.set("retries", wire.retries);
  value.set("elapsed_us", wire.elapsed_us);
  value.set("bad_frames", wire.bad_frames);
  value.set("stray_octets", wire.stray_octets);
  value.set("gate_broken", wire.gate_broken);
  return value;
}

}  // namespace

Value to_json(const model::Kit& kit, const Snapshot& snapshot, const Judgement& judgement) {
  Value::Array items;
  for (const Item& item : judgement.items) items.push_back(item_json(item));
  Value::Array findings;
  for (const model::Finding& finding : judgement.findings) findings.push_back(expect::finding_json(finding));
  Value value;
  value.set("schema", "strapline/verify/1");
  value.set("kit", expect::kit_json(kit));
  value.set("unit", unit_json(snapshot.unit));
  value.set("verdict", to_text(judgement.verdict));
  value.set("danger", judgement.danger);
  value.set("why", judgement.why);
  value.set("next", judgement.next);
  value.set("snapshot", snapshot_json(snapshot));
  if (snapshot.taken_with) value.set("taken_with", taken_with_json(*snapshot.taken_with));
  value.set("items", std::move(items));
  value.set("coverage", coverage_json(judgement.coverage));
  value.set("findings", std::move(findings));
  value.set("wire", wire_json(snapshot.wire));
  return value;
}

}  // namespace host::verify
