#pragma once

#include <string>

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"

namespace host::expect {

/// What a wrong value of a function does to this kit.
struct Harm {
  model::Severity severity = model::Severity::kFault;
  std::string does;  // goes behind "BR2 at 3-4 selects 12 V; "
};

/// Works out what it does when a function this kit uses has a value it doesn't accept. Danger only where the
/// value, at the worst of the rail's tolerance, is above what the load takes.
[[nodiscard]] Harm harm_of(const model::Kit& kit, model::FunctionId id, const model::FunctionValue& value);

}  // namespace host::expect
