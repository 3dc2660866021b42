#include "host/link/asker.hpp"

#include <algorithm>
#include <utility>

#include "protocol/rtu/frame.hpp"
#include "protocol/rtu/line_timing.hpp"

namespace host::link {

namespace {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::milliseconds;
using protocol::base::Octets;
namespace pdu = protocol::pdu;
namespace rtu = protocol::rtu;

constexpr std::size_t kHeldMax = 1024;
// Who never falls silent is asked nothing.
constexpr Duration kQuietMax = milliseconds(300);

}  // namespace

Asker::Asker(Transport& way, Deadline deadline, const CancelToken& cancel)
    : way_{way},
      deadline_{deadline},
      cancel_{cancel},
      transaction_{static_cast<std::uint16_t>(monotonic_now().time_since_epoch().count())} {
  way_.port->set_listener(this);
  last_octet_ = way_.port->now();
}

Asker::~Asker() {
  way_.port->set_listener(nullptr);
}

void Asker::octets_arrived(Octets octets, Instant now) {
  last_octet_ = now;
  const Octets kept = octets.first(std::min(octets.size(), kHeldMax - held_.size()));
  held_.insert(held_.end(), kept.begin(), kept.end());
}

void Asker::octet_damaged(Instant now) {
  last_octet_ = now;
  ++damaged_;
}

void Asker::woken(Instant) {}

void Asker::lost(const LinkError& error) {
  lost_ = error;
}

Result<void> Asker::wait_until(Instant at) {
  if (lost_) {
    return tl::unexpected{*lost_};
  }
  if (way_.port->now() >= deadline_.at) {
    return failure(Fault::kOutOfTime, "the time for the command is over", "give more with --timeout");
  }
  way_.port->wake_at(std::min(at, deadline_.at));
  if (auto ran = way_.port->run_one(cancel_); !ran) {
    return ran;
  }
  return lost_ ? Result<void>{tl::unexpected{*lost_}} : Result<void>{};
}

Result<std::vector<std::uint8_t>> Asker::listen(Duration span) {
  held_.clear();
  damaged_ = 0;
  Instant until = way_.port->now() + span;
  bool heard = false;
  while (way_.port->now() < until) {
    if (auto waited = wait_until(until); !waited) {
      return tl::unexpected{waited.error()};
    }
    if (!heard && (!held_.empty() || damaged_ > 0)) {
      heard = true;
      until = std::min(until, way_.port->now() + milliseconds(100));
    }
  }
  if (held_.empty() && damaged_ > 0) {
    held_.push_back(0);
  }
  return std::exchange(held_, {});
}

// Whether the line fell silent for as long as ends a frame.
Result<bool> Asker::quiet(rtu::LineTiming timing) {
  const Instant quiet_by = way_.port->now() + kQuietMax;
  while (way_.port->now() < std::min(last_octet_ + timing.frame_gap(), quiet_by)) {
    if (auto waited = wait_until(std::min(last_octet_ + timing.frame_gap(), quiet_by)); !waited) {
      return tl::unexpected{waited.error()};
    }
  }
  return way_.port->now() >= last_octet_ + timing.frame_gap();
}

Result<Heard> Asker::ask(std::uint8_t unit, const pdu::Request& request, Duration patience, Then then) {
  const rtu::LineTiming timing{way_.line.baud, static_cast<std::uint8_t>(bits_per_character(way_.line))};
  const auto is_quiet = quiet(timing);
  if (!is_quiet) {
    return tl::unexpected{is_quiet.error()};
  }
  Heard heard;
  heard.noisy = damaged_ > 0 || !*is_quiet;
  held_.clear();
  taken_ = damaged_ = 0;
  if (!*is_quiet) {
    return heard;
  }
  const bool mbap = way_.framing == Framing::kMbap;
  const protocol::mbap::Adu tcp = mbap ? transaction_.ask(unit, request) : protocol::mbap::Adu{};
  const rtu::Adu serial = mbap ? rtu::Adu{} : rtu::seal(unit, request.octets());
  const Octets octets = mbap ? tcp.octets() : serial.octets();
  if (auto sent = way_.port->send(octets); !sent) {
    return tl::unexpected{sent.error()};
  }
  heard.asked = true;
  const Instant sent_at = way_.port->now();
  const Instant until =
      sent_at + timing.wire_time(octets.size() + rtu::kAduOverhead + request.answer_size_max()) + patience;
  last_octet_ = sent_at + timing.wire_time(octets.size());
  while (way_.port->now() < until) {
    if (auto waited = wait_until(until); !waited) {
      return tl::unexpected{waited.error()};
    }
    const bool first = heard.answers == 0;
    if (mbap) {
      take_mbap(heard);
    } else {
      take(unit, request, heard);
    }
    if (heard.answers == 0) continue;
    if (first) heard.took = way_.port->now() - sent_at;
    if (mbap || then == Then::kGoOn) break;
  }
  if (heard.answers == 0) heard.took = way_.port->now() - sent_at;
  heard.noisy = heard.noisy || damaged_ > 0 || (heard.answers == 0 && taken_ < held_.size());
  // What comes behind, an answer of another of the same address for one, belongs to this question.
  held_.clear();
  taken_ = 0;
  return heard;
}

void Asker::take(std::uint8_t unit, const pdu::Request& request, Heard& heard) {
  // Our own octets ahead of the answer are an echo. A read never equals its answer.
  const Octets octets{held_};
  const Octets own = request.octets();
  if (taken_ == 0 && octets.size() >= own.size() + rtu::kAduOverhead && octets[0] == unit &&
      std::equal(own.begin(), own.end(), octets.begin() + 1)) {
    taken_ = own.size() + rtu::kAduOverhead;
  }
  while (take_one(unit, request, heard)) {
  }
}

bool Asker::take_one(std::uint8_t unit, const pdu::Request& request, Heard& heard) {
  const Octets octets = Octets{held_}.subspan(taken_);
  constexpr std::size_t kSkippedMax = 16;
  for (std::size_t at = 0; at <= kSkippedMax && at + rtu::kAduSizeMin <= octets.size(); ++at) {
    const Octets rest = octets.subspan(at);
    const pdu::Length length = rtu::response_length(rest);
    if (rest[0] != unit || length.kind != pdu::Length::Kind::kKnown || rest.size() < length.octets ||
        !rtu::crc_holds(rest.first(length.octets))) {
      continue;
    }
    const Octets body = rtu::pdu_of(rest.first(length.octets));
    const pdu::Match match = pdu::match(request, body);
    if (match == pdu::Match::kAnswer || match == pdu::Match::kException) {
      if (heard.answers++ == 0) {
        heard.answer = pdu::Response{body};
        heard.refused = match == pdu::Match::kException;
      } else if (!heard.other && !std::equal(body.begin(), body.end(), heard.answer->octets().begin(),
                                             heard.answer->octets().end())) {
        heard.other = pdu::Response{body};
      }
      taken_ += at + length.octets;
      return true;
    }
  }
  return false;
}

void Asker::take_mbap(Heard& heard) {
  const std::vector<std::uint8_t> octets = std::exchange(held_, {});
  Octets rest{octets};
  while (!rest.empty()) {
    const auto outcome = decoder_.push(rest);
    if (outcome == protocol::mbap::Decoder::Outcome::kMore) {
      continue;
    }
    const bool is_frame = outcome == protocol::mbap::Decoder::Outcome::kFrame;
    const auto match = is_frame ? transaction_.hear(decoder_.frame()) : std::nullopt;
    if (match != pdu::Match::kAnswer && match != pdu::Match::kException) {
      heard.noisy = true;
      if (outcome == protocol::mbap::Decoder::Outcome::kLost) return;
      continue;
    }
    ++heard.answers;
    const bool refused = match == pdu::Match::kException;
    const std::uint8_t code = refused ? decoder_.frame().pdu[1] : std::uint8_t{0};
    // A gateway that speaks for a unit that isn't there.
    if (code == 0x0A || code == 0x0B) return;
    heard.answer = pdu::Response{decoder_.frame().pdu};
    heard.refused = refused;
    return;
  }
}

}  // namespace host::link
