#include "host/link/conversation.hpp"

#include <algorithm>
#include <string>
#include <utility>

#include <fmt/core.h>

#include "host/link/foreign_words.hpp"
#include "host/link/mbap_client.hpp"

namespace host::link {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::Octets;
using protocol::pdu::Response;
using protocol::session::Step;

namespace {

constexpr std::size_t kHeardMax = 512;

}  // namespace

Conversation::Conversation(Transport transport, const protocol::session::ClientSettings& settings,
                           Deadline deadline, const CancelToken& cancel)
    : way_{std::move(transport)}, unit_address_{settings.unit_address}, deadline_{deadline}, cancel_{cancel} {
  if (way_.framing == Framing::kMbap) {
    client_ = std::make_unique<DialogueOf<MbapClient>>(settings);
  } else {
    client_ = std::make_unique<DialogueOf<protocol::session::Client<>>>(settings);
  }
  way_.port->set_listener(this);
}

Conversation::~Conversation() {
  close();
}

void Conversation::close() {
  way_.port->close();
}

void Conversation::octets_arrived(Octets octets, Instant now) {
  if (listening_) {
    const std::size_t room = kHeardMax - heard_.size();
    const Octets kept = octets.first(std::min(room, octets.size()));
    heard_.insert(heard_.end(), kept.begin(), kept.end());
    heard_count_ += octets.size();
  }
  client_->received(octets, now);
}

void Conversation::octet_damaged(Instant now) {
  heard_count_ += listening_ ? 1 : 0;
  client_->damaged(now);
}

void Conversation::woken(Instant /*now*/) {}

void Conversation::lost(const LinkError& error) {
  lost_ = error;
}

LinkError Conversation::with_place(LinkError error) const {
  error.port = way_.port->name();
  error.register_address = register_address_;
  error.elapsed = way_.port->now() - asked_at_;
  return error;
}

LinkError Conversation::explained(const protocol::session::Failure& failure) const {
  const Medium medium = way_.framing == Framing::kMbap ? Medium::kModbusTcp
                        : way_.is_serial               ? Medium::kSerial
                                                       : Medium::kRtuOverTcp;
  return to_link_error(failure, unit_address_, place_of(way_), medium);
}

LinkError Conversation::out_of_time() const {
  const auto& counts = client_->statistics();
  if (counts.octets_received == 0 && counts.transactions > 0) {
    protocol::session::Failure silence;
    silence.failed_attempts =
        static_cast<std::uint8_t>(std::min<std::uint32_t>(counts.transactions, UINT8_MAX));
    silence.waited = way_.port->now() - asked_at_;
    return explained(silence);
  }
  return link_error(
      Fault::kOutOfTime,
      fmt::format("the time for the command is over, unit {} on {}", unit_address_, way_.port->name()),
      "give more with --timeout");
}

Result<void> Conversation::wait_until(Instant at) {
  if (way_.port->now() >= deadline_.at) {
    return tl::unexpected{with_place(out_of_time())};
  }
  way_.port->wake_at(std::min(at, deadline_.at));
  if (auto ran = way_.port->run_one(cancel_); !ran) {
    return tl::unexpected{with_place(std::move(ran.error()))};
  }
  if (lost_.has_value()) {
    return tl::unexpected{with_place(*lost_)};
  }
  return {};
}

Result<void> Conversation::listen(Duration span) {
  asked_at_ = way_.port->now();
  const Instant until = asked_at_ + span;
  listening_ = true;
  Result<void> waited;
  while (waited && heard_count_ == 0 && way_.port->now() < until) {
    waited = wait_until(until);
  }
  // What began to come is worth seeing whole, so that it can be told what it was.
  const Instant more = std::min(until, way_.port->now() + protocol::base::milliseconds(50));
  while (waited && heard_count_ > 0 && way_.port->now() < more) {
    waited = wait_until(more);
  }
  listening_ = false;
  if (heard_count_ > 0) {
    return tl::unexpected{with_place(link_error(
        Fault::kForeignTraffic,
        fmt::format("somebody else is talking on {}: {} octets before our first ({})", place_of(way_),
                    heard_count_, heard_.empty() ? "all damaged" : words_of_foreign(heard_)),
        "take the other master off this line, or go on beside it with --share"))};
  }
  return waited;
}

Result<void> Conversation::begin() {
  asked_at_ = way_.port->now();
  register_address_.reset();
  client_->open(asked_at_);
  const auto answered = run();
  return answered ? Result<void>{} : Result<void>{tl::unexpected{answered.error()}};
}

Result<Response> Conversation::ask(const protocol::pdu::Request& request) {
  if (lost_.has_value()) {
    return tl::unexpected{*lost_};
  }
  asked_at_ = way_.port->now();
  register_address_.reset();
  if (request.function() != protocol::pdu::FunctionCode::kEncapsulatedInterface &&
      request.function() != protocol::pdu::FunctionCode::kDiagnostics) {
    register_address_ = request.address();
  }
  client_->request(request, asked_at_);
  return run();
}

Result<Response> Conversation::run() {
  while (true) {
    const Step step = client_->step(way_.port->now());
    Result<void> done;
    switch (step.kind) {
      case Step::Kind::kIdle:
        return tl::unexpected{
            with_place(link_error(Fault::kBrokenPrecondition, "the client has nothing to do"))};
      case Step::Kind::kFinished: {
        const auto& outcome = client_->outcome();
        if (outcome.ok()) {
          return outcome.value();
        }
        return tl::unexpected{with_place(explained(outcome.error()))};
      }
      case Step::Kind::kSend:
        done = way_.port->send(step.octets);
        if (done) {
          client_->sent(way_.port->now());
        } else {
          done = tl::unexpected{with_place(lost_.value_or(done.error()))};
        }
        break;
      case Step::Kind::kWait: done = wait_until(step.until); break;
    }
    if (!done) {
      abandon();
      return tl::unexpected{done.error()};
    }
  }
}

// The client is left idle and suspect, so a later request begins with a fence.
void Conversation::abandon() {
  if (client_->busy()) {
    client_->cancel(way_.port->now());
    (void)client_->step(way_.port->now());
  }
}

}  // namespace host::link
