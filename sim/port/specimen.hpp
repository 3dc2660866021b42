#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "sim/eye/watch.hpp"
#include "sim/line/answerer.hpp"
#include "sim/port/line_fault.hpp"
#include "sim/script/subject.hpp"
#include "sim/unit/foreign_registers.hpp"
#include "sim/unit/registers.hpp"
#include "sim/unit/unit.hpp"

namespace sim::port {

/// One unit of the program: the unit, its registers, and its end of the line.
class Specimen final : public script::Subject {
 public:
  /// `format` is how its port is set where nothing is wrong.
  Specimen(unit::UnitSetup setup, const line::CharacterFormat& format);

  [[nodiscard]] tl::expected<void, std::string> perform(const script::Act& act) override;
  [[nodiscard]] unit::Value value(protocol::points::Point point) const override;
  [[nodiscard]] script::Truth truth() const override;
  void live_until(protocol::base::Instant until) override;

  [[nodiscard]] unit::Unit& unit() { return unit_; }
  [[nodiscard]] const unit::Unit& unit() const { return unit_; }
  /// Of a unit whose board speaks this project's profile; nobody reads them of another.
  [[nodiscard]] unit::Registers& registers() { return registers_; }
  /// What answers for it, by its own profile or the board's own way. Outlived by the specimen.
  [[nodiscard]] line::Answerer answerer();
  [[nodiscard]] const LineTrouble& line_trouble() const { return trouble_; }
  /// A fault of its line has made a difference.
  void line_fault_acts(line::Acted how);
  /// Called when its end of the line has changed.
  void when_line_changes(std::function<void()> call) { line_changed_ = std::move(call); }

  /// How long a key is held that is pressed.
  static constexpr auto kKeyHeld = protocol::base::milliseconds(200);

 private:
  [[nodiscard]] tl::expected<void, std::string> inject(const std::string& text);
  [[nodiscard]] tl::expected<void, std::string> mend(const std::string& name);
  [[nodiscard]] tl::expected<void, std::string> move_strap(const std::string& text);
  [[nodiscard]] tl::expected<void, std::string> press(const std::string& key);
  [[nodiscard]] tl::expected<void, std::string> power(const std::string& text);
  [[nodiscard]] tl::expected<void, std::string> plug(const std::string& timing);
  [[nodiscard]] tl::expected<void, std::string> set_ambient(const std::string& text);

  unit::Unit unit_;
  mutable eye::Watcher watcher_;  // remembers what it has seen, no more
  unit::Registers registers_;
  std::optional<unit::ForeignRegisters> foreign_;  // of a board that has registers of its own
  line::CharacterFormat format_;
  LineTrouble trouble_;
  std::vector<unit::ActiveFault> line_faults_;
  std::optional<protocol::base::Instant> release_at_;
  std::function<void()> line_changed_;
};

/// A timing by its name, or nothing for "none". Errors   one sentence.
[[nodiscard]] tl::expected<std::optional<host::model::Timing>, std::string> source_named(
    const std::string& name);

}  // namespace sim::port
