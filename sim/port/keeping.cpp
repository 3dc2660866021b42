#include "sim/port/keeping.hpp"

#include <cstdio>

#include "sim/port/memory_text.hpp"

namespace sim::port {

namespace {

constexpr int kIoError = 74;

}  // namespace

tl::expected<Keeping::Start, Ending> Keeping::start(const host::model::Kit& kit) {
  const auto loaded = file_.load();
  if (!loaded) return tl::unexpected(Ending{kIoError, "strapline-sim: --state: " + loaded.error() + "\n"});
  Start start;
  if (loaded->octets) start.memory = parse_memory(*loaded->octets, kit);
  if (start.memory) {
    if (loaded->damaged) start.note = "the state file is damaged; what it held the time before is taken";
    return start;
  }
  start.lost = loaded->octets.has_value() || loaded->damaged;
  if (start.lost)
    start.note = "the state file is damaged: the unit has lost its settings and takes its defaults";
  return start;
}

bool Keeping::keep(const unit::Memory& memory, protocol::base::Instant now) {
  if (saved_ && now < counters_due_) {
    unit::Memory counted = memory;
    counted.board_ms = saved_->board_ms;
    counted.light_ms = saved_->light_ms;
    if (counted == *saved_) return true;
  }
  counters_due_ = now + kCountersEvery;
  return save(memory);
}

bool Keeping::keep_all(const unit::Memory& memory) {
  return saved_ == memory || save(memory);
}

bool Keeping::save(const unit::Memory& memory) {
  const auto saved = file_.save(to_text(memory));
  if (saved) {
    saved_ = memory;
    return true;
  }
  if (!complained_) std::fprintf(stderr, "strapline-sim: --state: %s\n", saved.error().c_str());
  complained_ = true;
  return false;
}

}  // namespace sim::port
