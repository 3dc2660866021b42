#include <algorithm>
#include <array>

#include "host/expect/nets/judge.hpp"
#include "host/expect/nets/net_name.hpp"

namespace host::expect::nets {
namespace {

using model::FindingId;

struct Score {
  int right = 0, wrong = 0;
};

// A pin that chooses something may be wired to more than one net; wires that reach no net at one end say
// nothing.
Score score(const Route& route, const std::vector<Lead>& leads) {
  Score result;
  for (const Lead& lead : leads) {
    if (route.far.selects.contains(lead.far_pin)) continue;
    if (lead.board_net.empty() && lead.far_net.empty()) continue;
    ++(lead.board_net == lead.far_net ? result.right : result.wrong);
  }
  return result;
}

// What would set the cable right, and what it is called.
struct Idea {
  Fit fit;
  FindingId id;
  const char* says;
};

constexpr auto kIdeas = std::to_array<Idea>({
    {{.ends_swapped = true}, FindingId::kCableWrongEnd, "would fit with its other end in the board"},
    {{.far_turned = true}, FindingId::kCableMirrored, "runs to pins counted from the other end"},
    {{.board_turned = true}, FindingId::kCableMirrored, "starts at pins counted from the other end"},
    {{.far_shift = -1}, FindingId::kCableShifted, "ends one pin too far along"},
    {{.far_shift = 1}, FindingId::kCableShifted, "ends one pin short"},
    {{.far_shift = -2}, FindingId::kCableShifted, "ends two pins too far along"},
    {{.far_shift = 2}, FindingId::kCableShifted, "ends two pins short"},
    {{.far_shift = -3}, FindingId::kCableShifted, "ends three pins too far along"},
    {{.far_shift = 3}, FindingId::kCableShifted, "ends three pins short"},
});

}  // namespace

std::vector<model::Finding> find_pattern(const Route& route, const std::vector<Lead>& leads) {
  const Score as_wired = score(route, leads);
  if (as_wired.wrong <= as_wired.right) return {};
  const Idea* best = nullptr;
  int best_right = as_wired.right;
  for (const Idea& idea : kIdeas) {
    const Score supposed = score(route, follow(route, idea.fit));
    // Nine in ten of the wires must be right then, or it explains nothing.
    if (supposed.right * 10 < static_cast<int>(leads.size()) * 9 || supposed.right <= best_right) continue;
    best = &idea;
    best_right = supposed.right;
  }
  if (best == nullptr) return {};
  const auto wrong = std::ranges::find_if(
      leads, [](const Lead& lead) { return !lead.board_net.empty() && lead.board_net != lead.far_net; });
  std::string example;
  if (wrong != leads.end()) {
    example =
        " (" + way_of(*wrong) + ": " + net_text(wrong->board_net) + " on " + net_text(wrong->far_net) + ")";
  }
  return {about_cable(route, best->id, "every net on its own pin",
                      std::to_string(as_wired.wrong) + " of " + std::to_string(leads.size()) + " wires wrong",
                      route.designator + " " + best->says + example + ".")};
}

}  // namespace host::expect::nets
