#include <algorithm>
#include <string_view>

#include <fmt/format.h>

#include "host/report/document.hpp"
#include "host/verify/foreign.hpp"
#include "host/verify/identity.hpp"

namespace host::verify {
namespace {

using protocol::points::Reading;

constexpr std::uint8_t kProductObject = 0x01;
constexpr std::uint8_t kRevisionObject = 0x02;
constexpr std::uint8_t kProfileObject = 0x80;

std::string_view object(const link::DeviceObjects& objects, std::uint8_t id) {
  const auto found = objects.find(id);
  return found == objects.end() ? std::string_view{} : std::string_view{found->second};
}

Reading text_reading(std::string_view text) {
  Reading reading;
  reading.kind = Reading::Kind::kText;
  reading.text_size = static_cast<std::uint8_t>(std::min(text.size(), reading.text_octets.size()));
  std::copy_n(text.begin(), reading.text_size, reading.text_octets.begin());
  return reading;
}

}  // namespace

link::Result<void> identify_foreign(Reader& reader, const model::Board& board, Snapshot& snapshot) {
  if (!board.wire.identification) return {};
  const link::Result<link::DeviceObjects> objects = reader.identify();
  if (!objects) {
    if (objects.error().fault == link::Fault::kRefused) return {};
    return tl::unexpected{objects.error()};
  }
  if (object(*objects, kProfileObject) == kProfileName) {
    return unusable(fmt::format("the unit has the profile '{}', and board {} keeps its points at addresses "
                                "of its own",
                                kProfileName, board.about.id),
                    "name the kit the unit was built to, or check --address and what is connected");
  }
  const std::string_view product = object(*objects, kProductObject);
  snapshot.unit.model = report::cleaned(product);
  snapshot.unit.firmware = report::cleaned(object(*objects, kRevisionObject));
  if (!board.wire.product.empty()) {
    const bool same = product == board.wire.product;
    snapshot.points[protocol::points::Point::kIdentityBoard] =
        text_reading(same ? std::string_view{board.about.id} : product);
  }
  return {};
}

}  // namespace host::verify
