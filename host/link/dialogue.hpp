#pragma once

#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"
#include "protocol/pdu/request.hpp"
#include "protocol/session/client.hpp"
#include "protocol/session/statistics.hpp"
#include "protocol/session/step.hpp"

namespace host::link {

/// The asking end of a link without I/O or clock, whatever frames it: the calls of protocol::session::Client,
/// which tells what each of them means.
class Dialogue {
 public:
  using Instant = protocol::base::Instant;

  Dialogue() = default;
  virtual ~Dialogue() = default;
  Dialogue(const Dialogue&) = delete;
  Dialogue& operator=(const Dialogue&) = delete;

  virtual void open(Instant now) = 0;
  virtual void request(const protocol::pdu::Request& request, Instant now) = 0;
  /// False where the framing has no broadcast; then nothing happens.
  [[nodiscard]] virtual bool broadcast(const protocol::pdu::Request& request, Instant now) = 0;
  virtual void cancel(Instant now) = 0;
  [[nodiscard]] virtual protocol::session::Step step(Instant now) = 0;
  virtual void sent(Instant now) = 0;
  virtual void received(protocol::base::Octets octets, Instant now) = 0;
  virtual void damaged(Instant now) = 0;
  [[nodiscard]] virtual const protocol::session::Outcome& outcome() const = 0;
  [[nodiscard]] virtual bool busy() const = 0;
  [[nodiscard]] virtual const protocol::session::Statistics& statistics() const = 0;
};

/// A client of one framing as a Dialogue.
template <typename Client>
class DialogueOf final : public Dialogue {
 public:
  explicit DialogueOf(const protocol::session::ClientSettings& settings) : client_{settings} {}

  void open(Instant now) override { client_.open(now); }
  void request(const protocol::pdu::Request& request, Instant now) override { client_.request(request, now); }
  bool broadcast(const protocol::pdu::Request& request, Instant now) override {
    if constexpr (requires { client_.broadcast(request, now); }) {
      client_.broadcast(request, now);
      return true;
    }
    return false;
  }
  void cancel(Instant now) override { client_.cancel(now); }
  [[nodiscard]] protocol::session::Step step(Instant now) override { return client_.step(now); }
  void sent(Instant now) override { client_.sent(now); }
  void received(protocol::base::Octets octets, Instant now) override { client_.received(octets, now); }
  void damaged(Instant now) override { client_.damaged(now); }
  [[nodiscard]] const protocol::session::Outcome& outcome() const override { return client_.outcome(); }
  [[nodiscard]] bool busy() const override { return client_.busy(); }
  [[nodiscard]] const protocol::session::Statistics& statistics() const override {
    return client_.statistics();
  }

 private:
  Client client_;
};

}  // namespace host::link
