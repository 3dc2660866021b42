#include "sim/unit/wrongs.hpp"

#include <algorithm>

namespace sim::unit {

void Wrongs::add(const fault::Fault& fault) {
  remove(fault.kind);
  present_[index(fault.kind)] = true;
  arguments_[index(fault.kind)] = fault.argument;
  hits_[index(fault.kind)] = 0;
  order_.push_back(fault.kind);
}

bool Wrongs::remove(fault::Kind kind) {
  const auto at = std::find(order_.begin(), order_.end(), kind);
  if (at == order_.end()) return false;
  order_.erase(at);
  present_[index(kind)] = false;
  return true;
}

std::vector<ActiveFault> Wrongs::list() const {
  std::vector<ActiveFault> list;
  for (const fault::Kind kind : order_) {
    list.push_back({{kind, arguments_[index(kind)]}, hits_[index(kind)]});
  }
  return list;
}

}  // namespace sim::unit
