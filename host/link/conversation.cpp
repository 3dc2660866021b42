#include "host/link/conversation.hpp"

#include <algorithm>
#include <string>
#include <utility>

#include <fmt/core.h>

#include "host/link/foreign_words.hpp"
#include "host/link/mbap_client.hpp"
#include "protocol/rtu/frame.hpp"

namespace host::link {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::Octets;
using protocol::pdu::FunctionCode;
using protocol::pdu::Response;
using protocol::session::Step;

namespace {

constexpr std::size_t kHeardMax = 512;

// How late a port that goes away meanwhile is noticed.
constexpr Duration kRestMax = protocol::base::milliseconds(50);

// A port hands on eight octets at a time, as a UART's driver does. Two such pieces are worth resting for.
constexpr std::size_t kPiece = 8;
// A system hands on an octet, and wakes who waits for it, this much later than at best; a read that comes
// sooner finds an answer without its end, and is to be waited for twice.
constexpr Duration kUsualDelay{40};
constexpr std::size_t kWorthARest = 2 * kPiece;

// Octets of the answer to a read of registers, if it isn't refused; 0 for anything else.
std::size_t answer_size(Octets adu) {
  constexpr std::size_t kReadSize = 8;
  constexpr std::size_t kAnswerOverhead = 5;  // unit, function, byte count, CRC
  const auto reads = [&](FunctionCode code) { return adu[1] == static_cast<std::uint8_t>(code); };
  if (adu.size() != kReadSize ||
      !(reads(FunctionCode::kReadHoldingRegisters) || reads(FunctionCode::kReadInputRegisters))) {
    return 0;
  }
  return kAnswerOverhead + 2 * std::size_t{protocol::base::read_be16(adu, 4)};
}

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
  const std::size_t kept = std::min(came_, head_.size());
  const Octets head = octets.first(std::min(head_.size() - kept, octets.size()));
  std::copy(head.begin(), head.end(), head_.begin() + static_cast<std::ptrdiff_t>(kept));
  came_ += octets.size();
  came_at_ = now;
  client_->received(octets, now);
}

protocol::rtu::LineTiming Conversation::timing() const {
  return {way_.line.baud, static_cast<std::uint8_t>(bits_per_character(way_.line))};
}

// A line of pieces is left alone until the answer can be whole: until its first octets have come by what the
// shortest exchange so far took, then by what they say of its length. Octets that came sooner than a line
// carries them came over none, and say nothing of how long the others take. What has come was there a while
// before it was seen, up to a piece; the shortest exchange tells better when this one ends, but never more
// than a piece better.
void Conversation::rest() {
  const bool hears_itself = client_->statistics().echo != protocol::session::Echo::kAbsent;
  if (way_.framing != Framing::kRtu || !way_.is_serial || hears_itself) return;
  if (came_ == 0) return rest_for_answer();
  const auto known = protocol::rtu::response_length({head_.data(), std::min(came_, head_.size())});
  if (head_[0] != unit_address_ || known.kind != protocol::pdu::Length::Kind::kKnown) return;
  const protocol::rtu::LineTiming line = timing();
  const bool paced = came_at_ - sent_at_ >= line.wire_time(sent_ + came_) + line.frame_gap();
  if (!paced || known.octets < came_ + kWorthARest) return;
  const std::size_t missing = known.octets - came_;
  const Instant as_before =
      sent_at_ + line.wire_time(sent_ + known.octets) + beyond_wire_.value_or(Duration{});
  const Instant whole =
      std::clamp(as_before, came_at_ + line.wire_time(missing - kPiece), came_at_ + line.wire_time(missing));
  way_.port->rest_until(std::min(whole, came_at_ + kRestMax));
}

void Conversation::rest_for_answer() {
  const protocol::rtu::LineTiming line = timing();
  if (due_ <= kPiece || !beyond_wire_ || *beyond_wire_ < line.frame_gap()) return;
  const Instant whole = sent_at_ + line.wire_time(sent_ + due_) + *beyond_wire_ + kUsualDelay;
  const Instant now = way_.port->now();
  if (whole > now) way_.port->rest_until(std::min(whole, now + kRestMax));
}

// What an exchange took beyond its octets' time; the least of all is the unit's and the adapter's own.
void Conversation::learn() {
  if (came_ == 0) return;
  const Duration beyond = came_at_ - sent_at_ - timing().wire_time(sent_ + came_);
  beyond_wire_ = std::min(beyond_wire_.value_or(beyond), beyond);
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
  LinkError error = to_link_error(failure, unit_address_, place_of(way_), medium);
  if (const Duration longest = client_->statistics().answer_time_max;
      error.domain == Domain::kLine && longest > Duration{}) {
    error.message +=
        fmt::format("; its longest answer so far came after {} ms", (longest.count() + 999) / 1000);
  }
  const std::string counted = to_text(way_.port->line_counters().value_or(LineCounters{}));
  if (error.domain == Domain::kLine && !counted.empty()) {
    error.message += "; since it was opened the driver counted characters: " + counted;
  }
  return error;
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

Result<void> Conversation::wait_until(Instant at, Instant now) {
  if (now >= deadline_.at) {
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
    waited = wait_until(until, way_.port->now());
  }
  // What began to come is worth seeing whole, so that it can be told what it was.
  const Instant more = std::min(until, way_.port->now() + protocol::base::milliseconds(50));
  while (waited && heard_count_ > 0 && way_.port->now() < more) {
    waited = wait_until(more, way_.port->now());
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

Result<void> Conversation::broadcast(const protocol::pdu::Request& request) {
  if (lost_.has_value()) {
    return tl::unexpected{*lost_};
  }
  asked_at_ = way_.port->now();
  register_address_ = request.address();
  if (!client_->broadcast(request, asked_at_)) {
    return tl::unexpected{with_place(link_error(Fault::kNotAvailable, "Modbus/TCP has no broadcast",
                                                "ask each unit for itself, or use its line"))};
  }
  const auto done = run();
  return done ? Result<void>{} : Result<void>{tl::unexpected{done.error()}};
}

Result<Response> Conversation::run() {
  Instant now = asked_at_;
  while (true) {
    const Step step = client_->step(now);
    Result<void> done;
    switch (step.kind) {
      case Step::Kind::kIdle:
        return tl::unexpected{
            with_place(link_error(Fault::kBrokenPrecondition, "the client has nothing to do"))};
      case Step::Kind::kFinished: {
        const auto& outcome = client_->outcome();
        if (outcome.ok()) {
          learn();
          return outcome.value();
        }
        return tl::unexpected{with_place(explained(outcome.error()))};
      }
      case Step::Kind::kSend:
        came_ = 0;
        sent_ = step.octets.size();
        due_ = answer_size(step.octets);
        done = way_.port->send(step.octets);
        now = sent_at_ = way_.port->now();
        if (done) {
          client_->sent(now);
        } else {
          done = tl::unexpected{with_place(lost_.value_or(done.error()))};
        }
        break;
      case Step::Kind::kWait:
        rest();
        done = wait_until(step.until, now);
        now = way_.port->now();
        break;
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
