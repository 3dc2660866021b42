#include "host/verify/acquire.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "host/report/document.hpp"
#include "host/verify/edid_file.hpp"
#include "host/verify/foreign.hpp"
#include "host/verify/identity.hpp"
#include "host/verify/image.hpp"
#include "host/verify/live.hpp"
#include "host/verify/wording.hpp"
#include "protocol/points/layout.hpp"

namespace host::verify {
namespace {

using protocol::points::Point;

constexpr int kAttemptsMax = 3;
constexpr int kReopenedMax = 3;

// What has to be the same in an image first and last; neighbours in it.
using Mark = std::array<std::uint16_t, kMarkCount>;  // generation, owner, boot number

std::uint16_t mark_offset() {
  return protocol::points::layout(Point::kSnapshotGeneration).image;
}

std::optional<Mark> mark_in(const std::vector<std::uint16_t>& image) {
  if (image.size() < std::size_t{mark_offset()} + kMarkCount) return std::nullopt;
  Mark mark{};
  std::copy_n(image.begin() + mark_offset(), kMarkCount, mark.begin());
  return mark;
}

// Words that mean "unread" can't name an owner.
std::uint16_t as_owner(std::uint16_t word) {
  constexpr std::uint16_t kLargest = 0xFFFC;
  return std::clamp<std::uint16_t>(word, 1, kLargest);
}

class Acquisition {
 public:
  Acquisition(Reader& reader, const AcquireOptions& options)
      : reader_{reader},
        owner_{as_owner(options.owner)},
        edid_input_{options.edid_input},
        foreign_{options.foreign},
        serial_named_{options.serial_named} {
    snapshot_.unit.address = options.address;
  }

  link::Result<Snapshot> run() {
    link::Result<void> done = attempt();
    for (int times = 0; !done && done.error().fault == link::Fault::kGone && times < kReopenedMax; ++times) {
      remember_serial();
      const link::Result<void> back = reader_.reopen();
      if (back) {
        done = attempt();
      } else if (back.error().fault != link::Fault::kGone) {
        done = back;
      } else {
        break;
      }
    }
    if (!done) {
      const bool known = profile_read_ || !snapshot_.points.empty();
      const link::Fault fault = done.error().fault;
      const bool is_of_the_unit = fault != link::Fault::kCancelled && fault != link::Fault::kTraceEnded &&
                                  fault != link::Fault::kBadTrace;
      if (!is_of_the_unit || !known) return tl::unexpected{done.error()};
      snapshot_.consistency = Consistency::kTorn;
      const link::LinkError& error = done.error();
      snapshot_.shared_address = error.fault == link::Fault::kSharedAddress;
      snapshot_.trouble =
          snapshot_.shared_address
              ? error.message
              : fmt::format("the unit answered at first, then no more: {}", report::cleaned(error.message));
      // Of a unit that fell silent the finding itself knows better what to look at.
      if (fault != link::Fault::kSilent) snapshot_.trouble_remedy = error.remedy;
    }
    name_unit();
    if (done) hold_to_one_unit();
    note_wire();
    return std::move(snapshot_);
  }

 private:
  Reader& reader_;
  std::uint16_t owner_;
  std::optional<std::uint16_t> edid_input_;
  const model::Board* foreign_;
  Snapshot snapshot_;
  bool serial_named_;
  bool profile_read_ = false;
  std::optional<std::string> serial_before_;  // read before a port went away, as the unit sent it
  bool nameless_before_ = false;              // a port went away, and nobody had said one

  // All there is to know, from the beginning: whoever is there now may be another than before.
  link::Result<void> attempt() {
    snapshot_.points.clear();
    snapshot_.edid.clear();
    snapshot_.edid_unreadable = false;
    if (foreign_ != nullptr) return attempt_foreign();
    const link::Result<Profile> profile = read_profile(reader_);
    if (!profile) return tl::unexpected{profile.error()};
    profile_read_ = true;
    snapshot_.unit.board = profile->board;
    link::Result<void> done = read_points();
    if (!done || !edid_input_) return done;
    auto edid = read_edid(reader_, *edid_input_);
    if (edid) {
      snapshot_.edid = std::move(*edid);
    } else if (edid.error().fault == link::Fault::kRefused) {
      snapshot_.edid_unreadable = true;
    } else {
      return tl::unexpected{edid.error()};
    }
    return {};
  }

  link::Result<void> attempt_foreign() {
    link::Result<void> done = identify_foreign(reader_, *foreign_, snapshot_);
    return done ? read_foreign(reader_, *foreign_, snapshot_) : done;
  }

  // Empty where the unit has said none.
  [[nodiscard]] std::string serial_said() const {
    const auto* reading = reading_of(snapshot_, Point::kIdentitySerial);
    const bool said = reading != nullptr && reading->kind == protocol::points::Reading::Kind::kText;
    return said ? std::string{reading->text()} : std::string{};
  }

  void remember_serial() {
    if (serial_before_) return;
    if (std::string serial = serial_said(); !serial.empty()) {
      serial_before_ = std::move(serial);
    } else {
      nameless_before_ = true;
    }
  }

  // Who was there after a port came back is who was there before, or the set carries no verdict. Where the
  // serial number is named beforehand, the judgement holds the unit to that.
  void hold_to_one_unit() {
    const std::string serial = serial_said();
    if (serial_before_ && *serial_before_ != serial) {
      snapshot_.trouble = fmt::format(
          "the port went away, and another unit was there when it came back: {}, then {}",
          report::cleaned(*serial_before_), serial.empty() ? "no serial number" : report::cleaned(serial));
      snapshot_.trouble_remedy = "look which unit the service cable is plugged into";
    } else if (nameless_before_ && !serial_named_) {
      snapshot_.trouble =
          "the port went away before the unit had said its serial number; whether the same unit came back is "
          "not known";
      snapshot_.trouble_remedy =
          "see to the plug of the adapter, or name the unit's serial number with --serial";
    }
  }

  link::Result<void> read_points() {
    for (int attempt = 0; attempt < kAttemptsMax; ++attempt) {
      const std::uint16_t word = owner_;
      link::Result<void> latched =
          reader_.write(protocol::points::layout(Point::kSnapshotLatch).address, std::span{&word, 1});
      if (!latched && latched.error().fault == link::Fault::kRefused) return read_live(reader_, snapshot_);
      if (!latched) return latched;
      const link::Result<bool> whole = read_latched();
      if (!whole) return tl::unexpected{whole.error()};
      if (*whole) {
        snapshot_.consistency = Consistency::kLatched;
        return {};
      }
    }
    snapshot_.consistency = Consistency::kTorn;
    return {};
  }

  // One image; false when it is not of one latch, or not of ours.
  link::Result<bool> read_latched() {
    Image image;
    const link::Result<void> done = read_image(reader_, image);
    snapshot_.points = decode_image(image.words);
    if (!done) {
      // Half an image isn't known to be of one latch, but whose it is.
      std::erase_if(snapshot_.points, [](const auto& one) { return one.first != Point::kIdentitySerial; });
      return tl::unexpected{done.error()};
    }
    const std::optional<Mark> first = mark_in(image.words);
    if (!first || (*first)[1] != owner_) return false;
    snapshot_.generation = (*first)[0];

    const auto last =
        reader_.read(link::Table::kInput,
                     static_cast<std::uint16_t>(protocol::points::kImageAddress + mark_offset()), kMarkCount);
    if (!last) return tl::unexpected{last.error()};
    if (!std::equal(last->begin(), last->end(), first->begin(), first->end())) return false;
    // A checksum lets one bad frame in tens of thousands through; on a line that has shown some, that counts.
    if (!has_shown_bad_frames(reader_)) return true;
    return reads_the_same(reader_, image);
  }

  void name_unit() {
    const auto said = [&](Point point) {
      const auto* reading = reading_of(snapshot_, point);
      return reading == nullptr ? std::string{} : text_of(*reading);
    };
    snapshot_.unit.serial = said(Point::kIdentitySerial);
    if (const std::string model = said(Point::kIdentityModel); !model.empty()) snapshot_.unit.model = model;
    if (const std::string firmware = said(Point::kIdentityFirmware); !firmware.empty()) {
      snapshot_.unit.firmware = firmware;
    }
    if (const std::string board = said(Point::kIdentityBoard); !board.empty()) snapshot_.unit.board = board;
  }

  void note_wire() {
    const link::WireStatistics statistics = reader_.statistics();
    snapshot_.wire.transactions = statistics.counts.transactions;
    snapshot_.wire.bytes = static_cast<std::int64_t>(statistics.octets());
    snapshot_.wire.retries = statistics.counts.retries;
    snapshot_.wire.elapsed_us = statistics.elapsed.count();
    snapshot_.wire.bad_frames = statistics.counts.frames_bad;
    snapshot_.wire.stray_octets = statistics.counts.octets_stray;
    snapshot_.wire.gate_broken = statistics.counts.gate_broken();
  }
};

}  // namespace

link::Result<Snapshot> acquire(Reader& reader, const AcquireOptions& options) {
  return Acquisition{reader, options}.run();
}

}  // namespace host::verify
