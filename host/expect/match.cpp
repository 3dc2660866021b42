#include "host/expect/match.hpp"

#include <algorithm>
#include <array>

#include "host/expect/match_rules.hpp"
#include "host/expect/phrases.hpp"

namespace host::expect {
namespace {

constexpr auto kFeatures = std::to_array<FeatureWord>({
    {"keypad", "a rail and a connector for a keypad"},
    {"scan-direction", "straps that turn the picture round"},
    {"sensed-straps", "every strap is read by a pin of its own"},
    {"panel-current", "the panel's current is measured"},
    {"event-log", "the board keeps a log of events"},
    {"rs-485", "a service port of RS-485"},
    {"rs-232", "a service port of RS-232"},
    {"ttl", "a service port of logic levels"},
});
constexpr std::array<std::string_view, 4> kInputKinds = {"hdmi", "dvi", "vga", "displayport"};

std::string unknown(std::string_view what, std::string_view word,
                    const std::vector<std::string_view>& words) {
  std::string text = phrase("there is no ", what, " '", word, "'; there are ");
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) text += i + 1 == words.size() ? " and " : ", ";
    text += words[i];
  }
  return text;
}

std::optional<std::string> misspelt(const Wants& wants) {
  for (const std::string& kind : wants.inputs) {
    if (std::ranges::find(kInputKinds, kind) == kInputKinds.end()) {
      return unknown("kind of input", kind, {kInputKinds.begin(), kInputKinds.end()});
    }
  }
  for (const std::string& feature : wants.features) {
    if (std::ranges::find(kFeatures, feature, &FeatureWord::name) != kFeatures.end()) continue;
    std::vector<std::string_view> names;
    names.reserve(std::size(kFeatures));
    for (const FeatureWord& word : kFeatures) names.push_back(word.name);
    return unknown("feature", feature, names);
  }
  return std::nullopt;
}

Match held(const model::Panel& panel, const model::Board& board, const Wants& wants) {
  Bout bout{panel, board, {}};
  bout.result.board = board.about.id;
  bout.result.title = board.about.title;
  match_electrical(bout);
  match_link(bout);
  match_wants(bout, wants);
  std::ranges::stable_sort(bout.result.refusals, {}, &Refusal::kind);
  bout.result.suits = bout.result.refusals.empty();
  if (!bout.result.headroom.empty()) {
    bout.result.narrowest_permille = std::ranges::min(bout.result.headroom, {}, &Headroom::permille).permille;
  }
  if (board.about.status != model::Status::kReleased) {
    bout.result.remarks.push_back(phrase("its file is ", to_text(board.about.status)));
  }
  return std::move(bout.result);
}

bool before(const Match& a, const Match& b) {
  if (a.suits != b.suits) return a.suits;
  if (a.refusals.size() != b.refusals.size()) return a.refusals.size() < b.refusals.size();
  if (a.suits && a.narrowest_permille != b.narrowest_permille)
    return a.narrowest_permille > b.narrowest_permille;
  return a.board < b.board;
}

}  // namespace

void Bout::refuse(RefusalKind kind, std::string subject, std::string needed, std::string offered,
                  std::string reason, std::optional<std::int64_t> permille) {
  result.refusals.push_back(
      {kind, std::move(subject), std::move(needed), std::move(offered), std::move(reason), permille});
}

void Bout::hold(RefusalKind kind, std::string subject, std::int64_t needed, std::int64_t offered,
                std::string needed_text, std::string offered_text, std::string reason) {
  const std::int64_t scaled = (offered - needed) * 1000;
  if (needed > offered) {
    const std::int64_t short_by = scaled / needed - (scaled % needed != 0 ? 1 : 0);
    refuse(kind, std::move(subject), std::move(needed_text), std::move(offered_text), std::move(reason),
           short_by);
    return;
  }
  result.headroom.push_back(
      {std::move(subject), std::move(needed_text), std::move(offered_text), scaled / needed});
}

model::Hertz wanted_clock(const model::Panel& panel) {
  const auto& clock = panel.signal.pixel_clock;
  if (clock.nominal) return *clock.nominal;
  return clock.min ? *clock.min : clock.max.value_or(model::Hertz{});
}

std::span<const FeatureWord> features() {
  return kFeatures;
}

std::span<const std::string_view> input_kinds() {
  return kInputKinds;
}

std::string_view to_text(RefusalKind kind) {
  switch (kind) {
    case RefusalKind::kElectrical: return "electrical";
    case RefusalKind::kClock: return "clock";
    case RefusalKind::kBits: return "bits";
    case RefusalKind::kInput: return "input";
    case RefusalKind::kFeature: return "feature";
  }
  return "feature";
}

tl::expected<Ranking, std::string> match(const model::Panel& panel, const std::vector<model::Board>& boards,
                                         const Wants& wants) {
  if (const auto wrong = misspelt(wants)) return tl::unexpected(*wrong);
  Ranking ranking{panel.about.id, panel.about.title, wants, {}};
  for (const model::Board& board : boards) {
    Match one = held(panel, board, wants);
    ranking.matches.insert(std::ranges::upper_bound(ranking.matches, one, before), std::move(one));
  }
  return ranking;
}

}  // namespace host::expect
