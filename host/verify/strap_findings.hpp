#pragma once

#include <string>
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

/// Words the findings about straps: names the strap where one stands wrong, the function where several do,
/// and says what the position does to this kit. Every finding is at least a fault, since the kit uses the
/// function.
class StrapFindings {
 public:
  /// All arguments outlive this object; `items` is parallel to Board::straps.
  StrapFindings(const model::Kit& kit, const expect::Expectation& expectation,
                const std::vector<StrapReading>& readings, const std::vector<Item>& items);

  /// The function of this index selects `actual`, which the kit doesn't accept.
  void add_function(std::size_t function, const std::string& actual);

  /// The straps of this function stand right, and what was measured says otherwise.
  void add_contradiction(std::size_t function, const Consequence& consequence);

  /// This strap stands wrong: a finding of its own unless one names it already.
  void add_strap(std::size_t strap);

  [[nodiscard]] std::vector<model::Finding> take() { return std::move(findings_); }

 private:
  void make_particular(model::Finding& finding, model::FindingId kind,
                       const std::vector<std::size_t>& straps);
  [[nodiscard]] std::string position_text(std::size_t strap) const;

  const model::Kit& kit_;
  const expect::Expectation& expectation_;
  const std::vector<StrapReading>& readings_;
  const std::vector<Item>& items_;
  std::vector<model::Finding> explained_;  // what the positions do to this kit
  std::vector<model::Finding> findings_;
  std::vector<bool> named_;  // by strap
};

}  // namespace host::verify
