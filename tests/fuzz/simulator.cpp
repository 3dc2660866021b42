#include <algorithm>

#include "host/model/quantity_text.hpp"
#include "sim/fault/fault.hpp"
#include "sim/script/script.hpp"
#include "tests/fuzz/promises.hpp"
#include "tests/fuzz/targets.hpp"

namespace tests::fuzz {
namespace {

// What a person wrote is quoted as it is, so that a refusal is as clean as it was.
void hold_refusal(const std::string& refusal, const std::string& text) {
  must(!refusal.empty(), "who refuses a text says why");
  if (is_one_clean_line(text)) must(is_one_clean_line(refusal), "in one clean line");
}

template <typename Q>
void hold_quantity(const std::string& text) {
  const auto read = host::model::parse<Q>(text);
  if (!read) return hold_refusal(read.error(), text);
  must(host::model::parse<Q>(to_text(*read)) == read, "a quantity written is read back");
}

}  // namespace

void script(Octets input) {
  const std::string text = text_of(input);
  const auto script = sim::script::parse_script({"fuzz.toml", text});
  if (!script) return hold_errors(script.error(), text);
  must(!script->entries.empty(), "a script does something");
  protocol::base::Instant at{};
  for (const sim::script::Entry& entry : script->entries) {
    must(entry.at >= at && entry.at <= script->end, "entries come in order of time, and before the end");
    at = entry.at;
    must(entry.unit >= 1, "units count from 1");
    if (const auto* const act = std::get_if<sim::script::Act>(&entry.what)) {
      const auto again = sim::script::parse_act(to_text(*act));
      must(again && again->verb == act->verb, "an act written is read back");
    }
  }
}

void fault(Octets input) {
  const std::string text = text_of(input);
  const auto fault = sim::fault::parse_fault(text);
  if (fault) {
    const auto again = sim::fault::parse_fault(to_text(*fault));
    must(again && *again == *fault, "a fault written is read back");
  } else {
    hold_refusal(fault.error(), text);
  }
  const auto act = sim::script::parse_act(text);
  if (act) {
    must(sim::script::parse_act(to_text(*act)) == act, "an act written is read back");
  } else {
    hold_refusal(act.error(), text);
  }
  hold_quantity<host::model::Millivolts>(text);
  hold_quantity<host::model::Hertz>(text);
  hold_quantity<host::model::Millidegrees>(text);
  hold_quantity<host::model::PartsPerMillion>(text);
}

}  // namespace tests::fuzz
