#pragma once

#include <string>
#include <vector>

#include "protocol/base/time.hpp"
#include "sim/eye/glance.hpp"
#include "sim/unit/unit.hpp"

namespace sim::eye {

/// What a person says who has watched a unit since someone last did something to it, has touched its cable,
/// and has turned its brightness up and down.
struct Seen {
  std::string screen;             // of screen_words()
  std::vector<std::string> look;  // of look_words(), sorted
  std::string when;               // of when_words()
  friend bool operator==(const Seen&, const Seen&) = default;
};

/// Looks at a unit. Screen and look are what is wrong, where anything is; `when` says when it is so
/// (README.md).
[[nodiscard]] Seen seen(const unit::Unit& unit);

/// What was seen without a change, and how long.
struct Stretch {
  protocol::base::Duration lasts{};
  Glance glance;
};

/// Looks again and again at one unit, and only thinks anew when what there is to see has changed.
class Watcher {
 public:
  [[nodiscard]] Seen seen(const unit::Unit& unit);

 private:
  struct Known {
    Scene scene;
    bool touched = false;
    Shown shown;
  };
  [[nodiscard]] Glance look(const Scene& scene, bool touched);
  [[nodiscard]] Glance past(const unit::Moment& moment, const Scene& now);
  [[nodiscard]] std::vector<Stretch> stretches(const unit::Unit& unit, const Scene& scene,
                                               const Glance& glance);
  [[nodiscard]] bool warmth_does_it(const unit::Unit& unit, const Glance& glance, const Scene& scene);

  std::vector<Known> known_;  // latest last
};

}  // namespace sim::eye
