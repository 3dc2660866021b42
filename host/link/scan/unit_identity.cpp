#include "host/link/scan/unit_identity.hpp"

#include <algorithm>
#include <map>
#include <vector>

#include "protocol/pdu/identification.hpp"
#include "protocol/points/layout.hpp"
#include "protocol/points/reading.hpp"

namespace host::link::scan {

namespace {

namespace pdu = protocol::pdu;
namespace points = protocol::points;
using protocol::base::Duration;

constexpr int kPagesMax = 16;

using Objects = std::map<std::uint8_t, std::string>;

Result<Objects> objects(Asker& asker, std::uint8_t unit, Duration patience, Then then) {
  for (const auto code : {pdu::ReadDeviceId::kExtended, pdu::ReadDeviceId::kBasic}) {
    Objects found;
    std::uint8_t next = 0;
    for (int page = 0; page < kPagesMax; ++page) {
      const auto heard = asker.ask(unit, pdu::read_device_identification(code, next), patience, then);
      if (!heard) {
        return tl::unexpected{heard.error()};
      }
      if (!heard->answer || heard->refused || !heard->answer->has_identification()) {
        break;
      }
      const auto part = heard->answer->identification();
      for (std::uint8_t i = 0; i < part.count(); ++i) {
        const auto object = part.object(i);
        found[object.id] = std::string{object.text};
      }
      if (!part.more_follows() || part.next_object() <= next) {
        break;
      }
      next = part.next_object();
    }
    if (!found.empty()) {
      return found;
    }
  }
  return Objects{};
}

}  // namespace

Result<UnitIdentity> identify(Asker& asker, std::uint8_t unit, Duration patience) {
  UnitIdentity identity;
  const points::Layout& serial = points::layout(points::Point::kIdentitySerial);
  const auto request = pdu::read_input_registers(serial.address, register_count(serial.type));
  Voices voices;
  std::vector<std::string> said;
  said.reserve(Voices::kQuestions);
  for (unsigned reading = 0; reading < Voices::kQuestions; ++reading) {
    const auto heard = asker.ask(unit, request, patience, Then::kHearOthers);
    if (!heard) {
      return tl::unexpected{heard.error()};
    }
    voices.add(*heard);
    if (!heard->answer || heard->refused) {
      continue;
    }
    std::vector<std::uint16_t> words;
    words.reserve(heard->answer->word_count());
    for (std::uint16_t i = 0; i < heard->answer->word_count(); ++i) {
      words.push_back(heard->answer->word(i));
    }
    const auto read = decode(points::Point::kIdentitySerial, words);
    if (read.kind == points::Reading::Kind::kText) {
      said.emplace_back(read.text());
    }
  }
  const bool differ =
      std::any_of(said.begin(), said.end(), [&](const std::string& one) { return one != said.front(); });
  identity.sharing = differ ? Sharing::kCertain : voices.sharing();
  if (!said.empty() && identity.sharing == Sharing::kNo) {
    identity.serial = said.front();
  }

  // A second unit's answer would be taken for that of the next page.
  const auto found =
      objects(asker, unit, patience, identity.sharing == Sharing::kNo ? Then::kGoOn : Then::kHearOthers);
  if (!found) {
    return tl::unexpected{found.error()};
  }
  const auto object = [&](std::uint8_t id) {
    const auto at = found->find(id);
    return at == found->end() ? std::string{} : at->second;
  };
  identity.maker = object(0x00);
  identity.model = object(0x01);
  identity.firmware = object(0x02);
  identity.profile = object(0x80) + (object(0x81).empty() ? "" : " " + object(0x81));
  identity.board = object(0x84);
  return identity;
}

}  // namespace host::link::scan
