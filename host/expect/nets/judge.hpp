#pragma once

#include <map>
#include <string>
#include <vector>

#include "host/expect/nets/leads.hpp"
#include "host/model/finding.hpp"
#include "host/model/panel.hpp"

namespace host::expect::nets {

using Findings = std::vector<model::Finding>;

/// What a kit asks of its cables.
struct Loads {
  model::Panel::Link link;
  std::int64_t bit_rate_kbps = 0;                  // of one pair
  std::map<std::string, model::Milliamps> supply;  // by net, through one cable: VPANEL, VLIGHT, VKEYPAD
};

/// A cable of the panel link is held to LVDS or eDP, the others to supplies and single signals.
[[nodiscard]] bool carries_link(const Route& route, const Loads& loads);

/// Everything that is wrong with a cable between its two connectors, gravest first. Each finding's subject is
/// "cables.W1", and its consequence names pins and nets.
[[nodiscard]] Findings judge(const Route& route, const Loads& loads);

/// A finding about a cable, its consequence made particular.
[[nodiscard]] model::Finding about_cable(const Route& route, model::FindingId id, std::string expected,
                                         std::string actual, std::string consequence);

// What judge() is made of; each appends findings.
void find_power_faults(Findings& findings, const Route& route, const Loads& loads,
                       const std::vector<Lead>& leads);
void find_pair_faults(Findings& findings, const Route& route, const Loads& loads,
                      const std::vector<Lead>& leads);
void find_signal_faults(Findings& findings, const Route& route, const std::vector<Lead>& leads);

/// What explains a cable of which most wires are wrong; nothing when nothing simple does.
[[nodiscard]] std::vector<model::Finding> find_pattern(const Route& route, const std::vector<Lead>& leads);

}  // namespace host::expect::nets
