#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "sim/script/script.hpp"
#include "sim/script/subject.hpp"

namespace sim::script {

/// A script under way. It has no clock: whoever runs it lets the units live on.
class Run {
 public:
  /// `script` and the subjects outlive it.
  Run(const Script& script, std::vector<Subject*> subjects);

  /// When the units must have lived to for what is next; nothing once the script is over.
  [[nodiscard]] std::optional<protocol::base::Instant> next() const;

  /// Does and looks at everything that is due by `now`, each when the units have lived to its time.
  void go_on(protocol::base::Instant now);

  /// Everything that was not as expected, or could not be done, each with its place in the file.
  [[nodiscard]] const host::model::FileErrors& failures() const { return failures_; }
  [[nodiscard]] std::size_t expectations() const { return expectations_; }

 private:
  void perform(const Entry& entry, Subject& subject);
  void fail(const Entry& entry, const std::string& what);

  const Script& script_;
  std::vector<Subject*> subjects_;
  std::size_t at_ = 0;
  bool over_ = false;
  std::size_t expectations_ = 0;
  host::model::FileErrors failures_;
};

/// What is not as `wish` wants it: "expected rails.panel_out_mv 3135..3465 mV, read 5012 mV"; nothing when it
/// is.
[[nodiscard]] std::optional<std::string> difference(const PointWish& wish, const unit::Value& value);
[[nodiscard]] std::optional<std::string> difference(const EyeWish& wish, const Eye& eye);

}  // namespace sim::script
