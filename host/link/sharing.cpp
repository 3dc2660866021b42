#include "host/link/sharing.hpp"

#include <map>
#include <vector>

#include "protocol/pdu/function.hpp"
#include "protocol/rtu/frame.hpp"

namespace host::link {

namespace {

// Unit, function, sub-function, a word, CRC.
constexpr std::size_t kReturnQueryDataSize = 8;
// Two units that answer each other are heard within this, at the usual speeds.
constexpr protocol::base::Duration kListenFor = protocol::base::milliseconds(100);

}  // namespace

void Voices::add(const Heard& heard) {
  ++questions_;
  answers_ += heard.answers;
  disturbed_ += heard.asked && heard.answers == 0 && heard.noisy ? 1 : 0;
  differ_ = differ_ || heard.other.has_value();
}

Sharing Voices::sharing() const {
  if (answers_ > questions_) return differ_ ? Sharing::kCertain : Sharing::kTwice;
  return questions_ >= kQuestions && disturbed_ == questions_ ? Sharing::kLikely : Sharing::kNo;
}

std::optional<std::uint8_t> answering_each_other(protocol::base::Octets heard) {
  constexpr int kTimes = 3;
  std::map<std::vector<std::uint8_t>, int> times;
  for (std::size_t at = 0; at + kReturnQueryDataSize <= heard.size();) {
    const auto frame = heard.subspan(at, kReturnQueryDataSize);
    const bool returns_query_data =
        frame[1] == static_cast<std::uint8_t>(protocol::pdu::FunctionCode::kDiagnostics) && frame[2] == 0 &&
        frame[3] == 0 && protocol::rtu::crc_holds(frame);
    at += returns_query_data ? kReturnQueryDataSize : 1;
    if (returns_query_data && ++times[{frame.begin(), frame.end()}] == kTimes) return frame[0];
  }
  return std::nullopt;
}

Result<Sharing> sharing(Asker& asker, std::uint8_t unit, const protocol::pdu::Request& request,
                        protocol::base::Duration patience) {
  const auto heard = asker.listen(kListenFor);
  if (!heard) {
    return tl::unexpected{heard.error()};
  }
  if (answering_each_other(*heard) == unit) return Sharing::kCertain;
  Voices voices;
  for (unsigned i = 0; i < Voices::kQuestions; ++i) {
    const auto answered = asker.ask(unit, request, patience, Then::kHearOthers);
    if (!answered) {
      return tl::unexpected{answered.error()};
    }
    voices.add(*answered);
  }
  return voices.sharing();
}

}  // namespace host::link
