#include "sim/script/run.hpp"

#include <utility>

#include "protocol/points/words.hpp"

namespace sim::script {
namespace {

namespace model = host::model;
namespace points = protocol::points;

constexpr std::array<std::string_view, 3> kUnread{"not-fitted", "asleep", "no-edges"};

std::string number_text(const points::Words& words, std::int64_t number) {
  if (!words.choices.empty() && number >= 0 && std::cmp_less(number, words.choices.size())) {
    return std::string{words.choices[static_cast<std::size_t>(number)]};
  }
  return std::to_string(number);
}

// " mV" behind a number, where its unit is one that people write.
std::string unit_text(const points::Words& words) {
  constexpr std::array<std::string_view, 8> kNone{"text",  "choice", "bits",    "count",
                                                  "index", "word",   "version", "strap"};
  for (const std::string_view none : kNone) {
    if (words.unit == none) return {};
  }
  return " " + std::string{words.unit};
}

std::string value_text(const points::Words& words, const unit::Value& value) {
  if (const auto* why = std::get_if<points::Unread>(&value)) {
    return "nothing (" + std::string{kUnread.at(static_cast<std::size_t>(*why))} + ")";
  }
  if (const auto* text = std::get_if<std::string>(&value)) return "\"" + model::clean(*text) + "\"";
  return number_text(words, std::get<std::int64_t>(value)) + unit_text(words);
}

std::string wish_text(const points::Words& words, const PointWish& wish) {
  if (wish.why) return "nothing (" + std::string{kUnread.at(static_cast<std::size_t>(*wish.why))} + ")";
  if (wish.text) return *wish.text;
  if (wish.min && wish.max) {
    const std::string low = number_text(words, *wish.min);
    return (*wish.min == *wish.max ? low : low + ".." + number_text(words, *wish.max)) + unit_text(words);
  }
  return (wish.min ? "at least " + number_text(words, *wish.min)
                   : "at most " + number_text(words, *wish.max)) +
         unit_text(words);
}

bool as_wished(const points::Words& words, const PointWish& wish, const unit::Value& value) {
  if (const auto* why = std::get_if<points::Unread>(&value)) return wish.why == *why;
  if (wish.why) return false;
  if (const auto* text = std::get_if<std::string>(&value)) return wish.text == *text;
  const std::int64_t number = std::get<std::int64_t>(value);
  if (wish.text) return *wish.text == number_text(words, number);
  return (!wish.min || number >= *wish.min) && (!wish.max || number <= *wish.max);
}

// "2.5 s": scripts count in seconds, where a quantity would rather be 2500 ms.
std::string seconds_text(protocol::base::Instant at) {
  const std::int64_t us = at.time_since_epoch().count();
  std::string text = std::to_string(us / 1'000'000);
  if (us % 1'000'000 != 0) {
    std::string rest = std::to_string(us % 1'000'000);
    rest.insert(0, 6 - rest.size(), '0');
    text += "." + rest.substr(0, rest.find_last_not_of('0') + 1);
  }
  return text + " s";
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text.append(text.empty() ? "" : ", ").append(word);
  return "[" + text + "]";
}

}  // namespace

std::optional<std::string> difference(const PointWish& wish, const unit::Value& value) {
  const points::Words& words = points::words(wish.point);
  if (as_wished(words, wish, value)) return std::nullopt;
  return "expected " + std::string{words.name} + " " + wish_text(words, wish) + ", read " +
         value_text(words, value);
}

std::optional<std::string> difference(const EyeWish& wish, const Eye& eye) {
  std::string expected;
  std::string seen;
  const auto compare = [&](std::string_view name, const auto& wanted, const auto& is, const auto& text) {
    if (!wanted || *wanted == is) return;
    expected.append(expected.empty() ? "" : ", ").append(name).append(" ").append(text(*wanted));
    seen.append(seen.empty() ? "" : ", ").append(text(is));
  };
  const auto plain = [](const std::string& text) { return text; };
  compare("screen", wish.screen, eye.screen, plain);
  compare("look", wish.look, eye.look, joined);
  compare("when", wish.when, eye.when, plain);
  if (expected.empty()) return std::nullopt;
  return "expected " + expected + ", saw " + seen;
}

Run::Run(const Script& script, std::vector<Subject*> subjects)
    : script_{script}, subjects_{std::move(subjects)} {}

std::optional<protocol::base::Instant> Run::next() const {
  if (over_) return std::nullopt;
  return at_ < script_.entries.size() ? script_.entries[at_].at : script_.end;
}

void Run::go_on(protocol::base::Instant now) {
  for (; at_ < script_.entries.size() && script_.entries[at_].at <= now; ++at_) {
    const Entry& entry = script_.entries[at_];
    if (std::cmp_greater(entry.unit, subjects_.size())) {
      fail(entry, "there is no unit " + std::to_string(entry.unit) + "; " + std::to_string(subjects_.size()) +
                      (subjects_.size() == 1 ? " runs" : " run"));
      continue;
    }
    Subject& subject = *subjects_[static_cast<std::size_t>(entry.unit - 1)];
    subject.live_until(entry.at);
    perform(entry, subject);
  }
  if (at_ < script_.entries.size() || script_.end > now || over_) return;
  for (Subject* const subject : subjects_) subject->live_until(script_.end);
  over_ = true;
}

void Run::perform(const Entry& entry, Subject& subject) {
  if (const auto* act = std::get_if<Act>(&entry.what)) {
    if (const auto done = subject.perform(*act); !done) fail(entry, done.error());
    return;
  }
  ++expectations_;
  const auto different =
      std::holds_alternative<PointWish>(entry.what)
          ? difference(std::get<PointWish>(entry.what), subject.value(std::get<PointWish>(entry.what).point))
          : difference(std::get<EyeWish>(entry.what), subject.truth().eye);
  if (different) fail(entry, *different);
}

void Run::fail(const Entry& entry, const std::string& what) {
  const std::string when = seconds_text(entry.at);
  failures_.push_back(script_.file.error(entry.place, "at " + when + ": " + what));
}

}  // namespace sim::script
