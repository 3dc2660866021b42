#pragma once

#include <array>
#include <cstdint>
#include <string_view>

namespace sim::unit {

/// Nodes of the power circuit. Ground is 0 mV.
enum class Node : std::uint8_t {
  kGround,
  kSource,         // the supply's terminals, no load
  kInput,          // behind input fuse and diode
  kLogic,          // logic rail
  kPanelSelected,  // ahead of the panel rail's switch
  kPanelOut,       // panel connector, board's side
  kLightSelected,
  kLightOut,
  kCount
};

enum class BranchKind : std::uint8_t { kSource, kResistor, kConverterIn, kConverterOut, kLoad, kCapacitor };

/// A branch of the power circuit: a current from one node to another. A converter is two branches, what it
/// takes and (from ground) what it gives.
struct Branch {
  std::string_view name;
  BranchKind kind = BranchKind::kLoad;
  Node from = Node::kGround, to = Node::kGround;
  double ma = 0;
};

/// Node voltages and branch currents of one instant, held over the step that ended there.
struct PowerSample {
  std::array<double, static_cast<std::size_t>(Node::kCount)> mv{};
  std::array<Branch, 20> branches{};
  std::size_t count = 0;

  [[nodiscard]] double at(Node node) const { return mv[static_cast<std::size_t>(node)]; }
};

}  // namespace sim::unit
