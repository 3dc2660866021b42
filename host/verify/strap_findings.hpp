#pragma once

#include <string>
#include <utility>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/finding.hpp"
#include "host/model/kit.hpp"
#include "host/verify/consequence.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/strap_readings.hpp"

namespace host::verify {

/// Values as people read them: "3.3 V or 5 V"; "none" for none.
[[nodiscard]] std::string values_text(const std::vector<model::FunctionValue>& values);

/// Gathers the findings about straps. What the positions do to this kit is expect::explain's to say; added to
/// that is what only a unit can show: words no strap can have, straps known by what was measured, a person
/// who sees otherwise, and straps that contradict a measurement.
class StrapFindings {
 public:
  /// All arguments outlive this object; `readings` and `items` are parallel to Board::straps. Where a strap
  /// was not read, what a person saw or `inferred` stands for it.
  StrapFindings(const model::Kit& kit, const expect::Expectation& expectation,
                const std::vector<StrapReading>& readings, const std::vector<Item>& items,
                const expect::JointPosition& inferred);

  /// The function of this index selects `actual`, which the kit doesn't accept.
  void add_function(std::size_t function, const std::string& actual);

  /// The straps of this function stand right, and what was measured says otherwise.
  void add_contradiction(std::size_t function, const Consequence& consequence);

  /// This strap stands wrong: a finding of its own unless one names it already.
  void add_strap(std::size_t strap);

  [[nodiscard]] std::vector<model::Finding> take() { return std::move(findings_); }

 private:
  [[nodiscard]] bool names_function(std::size_t function) const;
  [[nodiscard]] bool names_strap(std::size_t strap) const;
  [[nodiscard]] std::string standing(const std::vector<std::size_t>& straps) const;
  [[nodiscard]] std::string remedy(const std::vector<std::size_t>& straps) const;
  [[nodiscard]] std::string subject_of(std::size_t function) const;

  const model::Kit& kit_;
  const expect::Expectation& expectation_;
  const std::vector<StrapReading>& readings_;
  const std::vector<Item>& items_;
  std::vector<model::Finding> findings_;
};

}  // namespace host::verify
