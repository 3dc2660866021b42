#include "host/expect/nets/net_name.hpp"

#include <algorithm>
#include <array>

namespace host::expect::nets {
namespace {

constexpr std::array<std::string_view, 4> kSupplies = {"VPANEL", "VLIGHT", "VKEYPAD", "VIN"};

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

}  // namespace

NetKind kind_of(std::string_view net) {
  if (net.empty()) return NetKind::kNone;
  if (net == "GND") return NetKind::kGround;
  if (std::ranges::find(kSupplies, net) != kSupplies.end()) return NetKind::kSupply;
  const bool level = net.size() > 1 && net.front() == 'V' && std::ranges::all_of(net.substr(1), is_digit);
  if (level) return NetKind::kLevel;
  const bool pair = net.size() > 1 && (net.back() == '-' || net.back() == '+');
  return pair ? NetKind::kPair : NetKind::kSignal;
}

std::string_view pair_of(std::string_view net) {
  return net.substr(0, net.empty() ? 0 : net.size() - 1);
}

std::optional<LinkPair> link_pair(std::string_view pair) {
  if (pair.size() < 2 || pair.front() < 'A' || pair.front() > 'D') return std::nullopt;
  const int channel = pair.front() - 'A';
  if (pair.substr(1) == "CLK") return LinkPair{channel, std::nullopt};
  if (pair.size() == 2 && pair[1] >= '0' && pair[1] <= '4') return LinkPair{channel, pair[1] - '0'};
  return std::nullopt;
}

std::string pair_name(const LinkPair& pair) {
  const std::string channel(1, static_cast<char>('A' + pair.channel));
  return channel + (pair.lane ? std::to_string(*pair.lane) : std::string("CLK"));
}

bool agree(std::string_view board_net, std::string_view far_net) {
  return board_net.empty() || far_net.empty() || board_net == far_net;
}

}  // namespace host::expect::nets
