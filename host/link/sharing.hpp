#pragma once

#include <cstdint>
#include <optional>

#include "host/link/asker.hpp"
#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"
#include "protocol/pdu/request.hpp"

namespace host::link {

/// Whether more than one unit answers at an address.
enum class Sharing : std::uint8_t {
  kNo,
  kLikely,   ///< each time something came, and never a sound answer
  kTwice,    ///< more answers came than there were questions, all alike: two units, or a line that repeats
  kCertain,  ///< and they said different things
};

/// What came of several questions to one address. One unit gives one answer a question, early or late; two
/// give two, or talk over each other.
class Voices {
 public:
  /// Questions it takes before damage means anything.
  static constexpr unsigned kQuestions = 3;

  /// Counts what came of a question that was asked with Then::kHearOthers.
  void add(const Heard& heard);
  [[nodiscard]] Sharing sharing() const;

 private:
  unsigned questions_ = 0, answers_ = 0, disturbed_ = 0;
  bool differ_ = false;
};

/// The address whose units answer each other without end: the answer to 08/00 equals its request, so a second
/// unit of one address takes it for a question to itself. Seen by three equal frames of that kind,
/// wherever `heard` begins, for no master asks the same word as fast; nothing where there are none.
/// Source  AP V1.1b3, 6.8.1 (the answer echoes the request).
[[nodiscard]] std::optional<std::uint8_t> answering_each_other(protocol::base::Octets heard);

/// Listens, then asks `request`, whose answer no two units have alike, of `unit` Voices::kQuestions times.
/// Whether damage has another cause, which disturbs other addresses as well, is the caller's to find out.
/// Errors   as Asker::ask().
[[nodiscard]] Result<Sharing> sharing(Asker& asker, std::uint8_t unit, const protocol::pdu::Request& request,
                                      protocol::base::Duration patience);

}  // namespace host::link
