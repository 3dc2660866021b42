#include "host/link/sharing.hpp"

namespace host::link {

void Voices::add(const Heard& heard) {
  ++questions_;
  answers_ += heard.answers;
  disturbed_ += heard.answers == 0 && heard.noisy ? 1 : 0;
}

Sharing Voices::sharing() const {
  if (answers_ > questions_) return Sharing::kCertain;
  return questions_ >= kQuestions && disturbed_ == questions_ ? Sharing::kLikely : Sharing::kNo;
}

Result<Sharing> sharing(Asker& asker, std::uint8_t unit, const protocol::pdu::Request& request,
                        protocol::base::Duration patience) {
  Voices voices;
  for (unsigned i = 0; i < Voices::kQuestions; ++i) {
    const auto heard = asker.ask(unit, request, patience, Then::kHearOthers);
    if (!heard) {
      return tl::unexpected{heard.error()};
    }
    voices.add(*heard);
  }
  return voices.sharing();
}

}  // namespace host::link
