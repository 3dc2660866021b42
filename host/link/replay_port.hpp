#pragma once

#include <memory>
#include <optional>
#include <string>

#include "host/link/port.hpp"
#include "host/link/trace/reader.hpp"
#include "host/link/trace/record.hpp"

namespace host::link {

/// A trace as it is said again: one place in a file, shared by the ports that follow each other on it.
class Replay {
 public:
  /// Errors   kTraceMissing (66), kTraceUnreadable (77); kBadTrace (65): no ordinary file, no trace, or one
  /// that this program didn't write.
  [[nodiscard]] static Result<std::shared_ptr<Replay>> open(const std::string& path);

  [[nodiscard]] const trace::Preamble& preamble() const { return *reader_->preamble(); }
  [[nodiscard]] const std::string& name() const { return name_; }

  /// The record that comes next; nothing at the end. Errors   kBadTrace.
  [[nodiscard]] const Result<std::optional<trace::Record>>& next() const { return next_; }

  /// Goes on to the record behind it.
  void take();

 private:
  Replay(std::unique_ptr<trace::Reader> reader, std::string path);

  std::unique_ptr<trace::Reader> reader_;
  std::string name_;
  Result<std::optional<trace::Record>> next_;
};

/// A port that answers what was answered before: each send has to be what was sent then, and what came after
/// it comes again, as much later. Time is virtual and passes only in run_one().
class ReplayPort final : public Port {
 public:
  /// `start` is where this port's clock begins.
  ReplayPort(std::shared_ptr<Replay> replay, protocol::base::Instant start);

  [[nodiscard]] const std::string& name() const override { return replay_->name(); }
  [[nodiscard]] protocol::base::Instant now() const override { return now_; }
  void set_listener(PortListener* listener) override { listener_ = listener; }
  /// Errors   kTraceEnded (65): the trace holds another request here, or none; kBadTrace.
  [[nodiscard]] Result<void> send(protocol::base::Octets octets) override;
  void wake_at(protocol::base::Instant at) override { wake_ = at; }
  [[nodiscard]] Result<void> run_one(const CancelToken& cancel) override;
  void close() override;

 private:
  [[nodiscard]] std::optional<protocol::base::Instant> next_event() const;
  void deliver();
  /// Where some of a flood was left out, says its latest piece once more a millisecond later, for the line
  /// was not quiet. False when there is nothing to say before `until`.
  [[nodiscard]] bool babble(protocol::base::Instant until);

  std::shared_ptr<Replay> replay_;
  PortListener* listener_ = nullptr;
  bool open_ = true;
  protocol::base::Instant now_;
  protocol::base::Instant wake_ = protocol::base::Instant::max();
  protocol::base::Instant anchor_;         // the last send, or what came first, on this clock
  std::optional<std::int64_t> anchor_us_;  // and in the trace
};

}  // namespace host::link
