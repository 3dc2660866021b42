#include "sim/eye/watch.hpp"

#include <algorithm>

#include "sim/eye/unit_light.hpp"
#include "sim/eye/unit_scene.hpp"

namespace sim::eye {
namespace {

using protocol::base::Duration;
using protocol::base::Instant;
using unit::History;
using unit::Unit;

constexpr std::size_t kKnownMax = 16;
constexpr Duration kLooksBack = protocol::base::milliseconds(60'000);
constexpr Duration kNoticed = protocol::base::milliseconds(30);  // shorter is not seen
constexpr Duration kStart = protocol::base::milliseconds(10'000);
constexpr Duration kSeconds = protocol::base::milliseconds(1'000);
constexpr int kReturnsMin = 2;  // of a picture that is right

// Since when something is so.
struct Condition {
  bool holds = false;
  Instant from{};
  void is(bool now, Instant when) {
    if (now && !holds) from = when;
    holds = now;
  }
};

// Something other than the picture, with light behind it, while the unit starts: a panel needs its data for
// the time its data sheet asks for before it shows them, and white glass is seen whatever it waits for.
bool flashes(const std::vector<History::Entry>& entries, const Unit& unit) {
  const auto needs = unit.kit().panel.sequence.signal_to_light.min;
  const bool white = unit.kit().panel.glass.unlit == host::model::Unlit::kWhite;
  if (entries.empty() || entries.front().moment.data) return false;  // no start
  Condition data, light;
  for (const History::Entry& entry : entries) {
    data.is(entry.moment.data, entry.since);
    light.is(entry.moment.lit && entry.moment.light_percent > 0, entry.since);
    if (!data.holds || !light.holds) continue;
    if (light.from < data.from) return white && data.from - light.from > kNoticed;
    const Duration waited = light.from - data.from;
    return waited.count() > 0 && needs && waited + kNoticed < Duration{needs->count};
  }
  return false;
}

// What has been since someone last did something; what was so then counts from then.
std::vector<History::Entry> since(const History& history) {
  std::vector<History::Entry> entries;
  for (const History::Entry& entry : history.entries()) {
    if (entry.since <= history.acted_at()) entries.clear();
    entries.push_back({std::max(entry.since, history.acted_at()), entry.moment});
  }
  return entries;
}

// It has shown something, slept, and shows something again.
bool slept(const History& history) {
  bool shown = false, asleep = false, again = false;
  for (const History::Entry& entry : history.entries()) {
    if (entry.moment.asleep && shown) asleep = true;
    again = asleep && entry.moment.data;
    shown = shown || entry.moment.data;
  }
  return again;
}

int returns(const std::vector<Stretch>& stretches) {
  int count = 0;
  for (std::size_t i = 1; i < stretches.size(); ++i) {
    if (stretches[i].glance.right() && !stretches[i - 1].glance.right()) ++count;
  }
  return count;
}

// What was wrong for longest, of what is not right.
const Glance* worst(const std::vector<Stretch>& stretches) {
  const Stretch* longest = nullptr;
  for (const Stretch& stretch : stretches) {
    if (stretch.glance.right()) continue;
    if (longest == nullptr || stretch.lasts > longest->lasts) longest = &stretch;
  }
  return longest != nullptr ? &longest->glance : nullptr;
}

// The board has told that it has no source, and tells it no more.
bool said_so(const Glance& before, const Glance& now) {
  return before.screen == "message" && now.screen != "message";
}

Seen said(const Glance& glance, std::string_view when) {
  return {glance.screen, glance.look, std::string{when}};
}

Seen with_flash(Seen seen) {
  seen.look.emplace_back("flash");
  std::sort(seen.look.begin(), seen.look.end());
  return seen;
}

}  // namespace

Glance Watcher::look(const Scene& scene, bool touched) {
  for (const Known& known : known_) {
    if (known.touched == touched && known.scene.source == scene.source &&
        known.scene.driven == scene.driven && known.scene.data == scene.data &&
        known.scene.wires == scene.wires && known.scene.panel == scene.panel &&
        known.scene.glass == scene.glass) {
      return combined(known.shown, scene.light);
    }
  }
  if (known_.size() >= kKnownMax) known_.erase(known_.begin());
  const Known& known = known_.emplace_back(Known{scene, touched, shown(scene, touched)});
  return combined(known.shown, scene.light);
}

// As it was at a moment, with everything that hasn't changed by itself as it is now.
Glance Watcher::past(const unit::Moment& moment, const Scene& now) {
  constexpr double kPercent = 100;
  Scene scene = now;
  scene.glass.running = moment.panel_runs;
  scene.data = moment.data;
  if (moment.message) {
    scene.source.content = Content::kMessage;
  } else if (scene.source.content == Content::kMessage) {
    scene.source.content = Content::kCard;
  }
  scene.light.lit = moment.lit;
  scene.light.share = moment.light_percent / kPercent;
  return look(scene, false);
}

// Since someone last did something, or for as long as one remembers; the dark before the first light is no
// more than a start.
std::vector<Stretch> Watcher::stretches(const Unit& unit, const Scene& scene, const Glance& glance) {
  const auto& entries = unit.history().entries();
  const Instant from = std::max(unit.history().acted_at(), unit.now() - kLooksBack);
  std::vector<Stretch> stretches;
  for (std::size_t i = 0; i < entries.size(); ++i) {
    const bool last = i + 1 == entries.size();
    const Instant end = last ? unit.now() : entries[i + 1].since;
    const Instant begin = std::max(from, entries[i].since);
    if (end < begin || (end == begin && !last)) continue;
    const Glance was = last ? glance : past(entries[i].moment, scene);
    if (!stretches.empty() && stretches.back().glance == was) {
      stretches.back().lasts += end - begin;
    } else {
      stretches.push_back({end - begin, was});
    }
  }
  const auto starts = [](const Stretch& stretch) {
    return stretch.lasts < kStart &&
           (stretch.glance.screen == "dark" || stretch.glance.screen == "dark-image");
  };
  const auto first = std::find_if_not(stretches.begin(), stretches.end(), starts);
  if (first != stretches.end()) stretches.erase(stretches.begin(), first);
  return stretches;
}

Seen Watcher::seen(const Unit& unit) {
  const Scene scene = scene_of(unit);
  const Glance glance = look(scene, false);
  const std::vector<Stretch> before = stretches(unit, scene, glance);
  if (returns(before) >= kReturnsMin) return said(*worst(before), "cycling");
  if (scene.wires.flips_touched > scene.wires.flips) {
    const Glance touched = look(scene, true);
    if (!(touched == glance)) return said(touched, "when-touched");
  }
  if (glance.right()) {
    return flashes(since(unit.history()), unit) ? with_flash(said(glance, "at-start"))
                                                : said(glance, "always");
  }
  if (warmth_does_it(unit, glance, scene)) return said(glance, "warm");
  if (scene.glass.residue > 0 && slept(unit.history())) {
    Scene fresh = scene;
    fresh.glass.residue = 0;
    if (!(look(fresh, false) == glance)) return said(glance, "after-sleep");
  }
  for (const Stretch& stretch : before) {
    const bool in_order = stretch.glance.right() || said_so(stretch.glance, glance);
    if (in_order && stretch.lasts >= kSeconds) return said(glance, "for-seconds");
  }
  return said(glance, "always");
}

bool Watcher::warmth_does_it(const Unit& unit, const Glance& glance, const Scene& scene) {
  constexpr auto kTooHot = static_cast<unsigned>(unit::Latch::kOverTemperature);
  if ((unit.firmware().latched() >> kTooHot & 1U) != 0 &&
      unit.firmware().state() == unit::PowerState::kLatched) {
    return true;
  }
  Scene cool = scene;
  cool.light = cool_light_of(unit);
  return !(look(cool, false) == glance);
}

Seen seen(const Unit& unit) {
  return Watcher{}.seen(unit);
}

}  // namespace sim::eye
