#include "sim/port/specimen.hpp"

#include <algorithm>
#include <array>

#include "host/model/nearest.hpp"
#include "host/model/quantity_text.hpp"
#include "host/signal/find_timing.hpp"
#include "sim/port/options.hpp"

namespace sim::port {
namespace {

namespace model = host::model;
using script::Verb;
using Done = tl::expected<void, std::string>;

// What the first keys of a keypad do, from key 1 on.
constexpr std::array<std::string_view, 4> kKeys{"power", "up", "down", "input"};
constexpr std::int64_t kSupplyMvMax = 100'000;
constexpr std::int64_t kAmbientMin = -60'000;  // m°C
constexpr std::int64_t kAmbientMax = 150'000;

// "NAME" and "ARG" of "NAME=ARG".
std::string name_of(const std::string& text) {
  return text.substr(0, text.find('='));
}

std::string argument_of(const std::string& text) {
  const std::size_t equals = text.find('=');
  return equals == std::string::npos ? std::string{} : text.substr(equals + 1);
}

// The sentence of an Ending, without the program's name and where to read more.
std::string sentence(const Ending& ending) {
  constexpr std::string_view kProgram = "strapline-sim: ";
  std::string text = ending.text;
  if (text.starts_with(kProgram)) text.erase(0, kProgram.size());
  return text.substr(0, std::min(text.find("; see strapline-sim"), text.find('\n')));
}

}  // namespace

Specimen::Specimen(unit::UnitSetup setup, const line::CharacterFormat& format)
    : unit_{std::move(setup)}, registers_{unit_}, format_{format} {
  if (unit_.kit().board.profile == model::WireProfile::kOwn) foreign_.emplace(unit_);
}

line::Answerer Specimen::answerer() {
  if (!foreign_) return line::answerer_of(registers_);
  return {[this](protocol::base::OctetSink pdu, std::size_t size) { return foreign_->answer(pdu, size); },
          foreign_->has_diagnostics()};
}

void Specimen::live_until(protocol::base::Instant until) {
  if (release_at_ && *release_at_ <= until) {
    unit_.advance(*release_at_);
    unit_.release();
    release_at_.reset();
  }
  unit_.advance(until);
}

unit::Value Specimen::value(protocol::points::Point point) const {
  return unit_.value(point);
}

Done Specimen::perform(const script::Act& act) {
  switch (act.verb) {
    case Verb::kPower: return power(act.argument);
    case Verb::kPlug: return plug(act.argument);
    case Verb::kUnplug: unit_.connect_source(std::nullopt); return {};
    case Verb::kKey: return press(act.argument);
    case Verb::kFault: return inject(act.argument);
    case Verb::kMend: return mend(act.argument);
    case Verb::kSetting:
      if (act.argument.find('=') == std::string::npos) {
        return tl::unexpected(std::string{"setting takes KEY=VALUE, as brightness=60 %"});
      }
      return unit_.set_setting(name_of(act.argument), argument_of(act.argument));
    case Verb::kAmbient: return set_ambient(act.argument);
    case Verb::kStrap: return move_strap(act.argument);
    case Verb::kReset: unit_.reset(); return {};
  }
  return {};
}

Done Specimen::power(const std::string& text) {
  if (text == "on") {
    unit_.set_supply(std::nullopt);
    return {};
  }
  if (text == "off") {
    unit_.set_supply(model::Millivolts{0});
    return {};
  }
  const auto voltage = model::parse<model::Millivolts>(text);
  if (!voltage || voltage->count < 0 || voltage->count > kSupplyMvMax) {
    return tl::unexpected(std::string{"power takes off, on or a voltage up to 100 V, as 10.5 V"});
  }
  unit_.set_supply(*voltage);
  return {};
}

Done Specimen::plug(const std::string& timing) {
  const auto source = source_named(timing);
  if (!source) return tl::unexpected(source.error());
  unit_.connect_source(*source);
  return {};
}

Done Specimen::press(const std::string& key) {
  int number = 0;
  const auto named = std::find(kKeys.begin(), kKeys.end(), key);
  if (named != kKeys.end()) {
    number = static_cast<int>(named - kKeys.begin()) + 1;
  } else if (const auto parsed = fault::parse_fault("keypad-stuck=" + key)) {
    number = parsed->as<fault::Key>().number;  // "2" and "key-2", as the fault has them
  } else {
    return tl::unexpected("there is no key \"" + key + "\"; " +
                          model::nearest_hint(key, kKeys, "keys, also by number from 1"));
  }
  auto done = unit_.press(number);
  if (done) release_at_ = unit_.now() + kKeyHeld;
  return done;
}

Done Specimen::set_ambient(const std::string& text) {
  const auto temperature = model::parse<model::Millidegrees>(text);
  if (!temperature || temperature->count < kAmbientMin || temperature->count > kAmbientMax) {
    return tl::unexpected(std::string{"ambient takes a temperature from -60 to 150 °C, as 40 °C"});
  }
  unit_.set_ambient(*temperature);
  return {};
}

Done Specimen::inject(const std::string& text) {
  const auto fault = fault::parse_fault(text);
  if (!fault) return tl::unexpected(fault.error());
  if (!is_line_fault(fault->kind)) return unit_.inject(*fault);
  auto added = add_line_fault(trouble_, *fault, format_);
  if (!added) return added;
  std::erase_if(line_faults_, [&](const unit::ActiveFault& one) { return one.fault.kind == fault->kind; });
  line_faults_.push_back({*fault});
  if (line_changed_) line_changed_();
  return {};
}

Done Specimen::mend(const std::string& name) {
  const auto kind = fault::find(name_of(name));
  if (!kind) return tl::unexpected(fault::parse_fault(name_of(name)).error());
  if (!is_line_fault(*kind)) return unit_.mend(*kind);
  if (std::erase_if(line_faults_, [&](const unit::ActiveFault& one) { return one.fault.kind == *kind; }) ==
      0) {
    return tl::unexpected("nothing to mend: " + name + " isn't there");
  }
  mend_line_fault(trouble_, *kind);
  if (line_changed_) line_changed_();
  return {};
}

Done Specimen::move_strap(const std::string& text) {
  const model::Board& board = unit_.kit().board;
  const std::string id = name_of(text);
  const auto moved = with_straps(board, unit_.setup().straps, {{id, argument_of(text)}});
  if (!moved) return tl::unexpected(sentence(moved.error()));
  for (std::size_t i = 0; i < board.straps.size(); ++i) {
    if (board.straps[i].id == id) unit_.move_strap(i, (*moved)[i]);
  }
  return {};
}

script::Truth Specimen::truth() const {
  const unit::Truth so = unit_.truth();
  script::Truth truth{so.straps, {}, watcher_.seen(unit_), so.damaged};
  for (const auto* faults : {&so.faults, &line_faults_}) {
    for (const unit::ActiveFault& one : *faults)
      truth.faults.push_back({fault::to_text(one.fault), one.hits});
  }
  return truth;
}

void Specimen::line_fault_acts(line::Acted how) {
  for (unit::ActiveFault& one : line_faults_) {
    if (one.fault.kind == kind_of(how)) ++one.hits;
  }
}

tl::expected<std::optional<model::Timing>, std::string> source_named(const std::string& name) {
  if (name == "none") return std::nullopt;
  const auto found = host::signal::find_timing(name);
  if (!found) return tl::unexpected(found.error());
  return *found;
}

}  // namespace sim::port
