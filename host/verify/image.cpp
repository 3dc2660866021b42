#include "host/verify/image.hpp"

#include <algorithm>
#include <span>
#include <utility>

#include "host/link/plan/plan.hpp"
#include "protocol/pdu/function.hpp"
#include "protocol/points/layout.hpp"

namespace host::verify {
namespace {

using link::plan::Span;
using protocol::pdu::kReadRegistersMax;
using protocol::points::kImageAddress;
using protocol::points::Layout;
using protocol::points::Point;

bool beyond_the_end(const link::LinkError& error) {
  return error.fault == link::Fault::kRefused && error.exception_code &&
         *error.exception_code ==
             static_cast<std::uint8_t>(protocol::pdu::ExceptionCode::kIllegalDataAddress);
}

std::uint16_t address_of(std::size_t at) {
  return static_cast<std::uint16_t>(kImageAddress + at);
}

// Where points end in the image, ascending.
std::vector<std::size_t> boundaries() {
  std::vector<std::size_t> ends;
  ends.reserve(protocol::points::kPointCount);
  for (const Layout& layout : protocol::points::layouts()) {
    if (layout.image == protocol::points::kNotInImage) continue;
    ends.push_back(std::size_t{layout.image} + register_count(layout.type));
  }
  std::sort(ends.begin(), ends.end());
  return ends;
}

// The values of several registers that lie in [begin, end) of the image.
std::vector<Span> values(std::size_t begin, std::size_t end) {
  std::vector<Span> spans;
  spans.reserve(protocol::points::kPointCount);
  for (const Layout& layout : protocol::points::layouts()) {
    const std::uint16_t count = register_count(layout.type);
    if (layout.image == protocol::points::kNotInImage || count < 2) continue;
    if (layout.image >= begin && std::size_t{layout.image} + count <= end) {
      spans.push_back({address_of(layout.image), count});
    }
  }
  return spans;
}

// Longer than any read in microseconds: where there is another way at all, it is taken.
constexpr double kBarred = 1e12;
// Blocks of one image that may be read in halves.
constexpr int kHalvedMax = 3;

/// One reading of the image, from its beginning on.
class Blocks {
 public:
  /// Reads into `image`, which is empty. `barred` are numbers of registers that no block has, as long as
  /// there is another way.
  Blocks(Reader& reader, Image& image, std::set<std::uint16_t> barred)
      : reader_{reader}, image_{image}, barred_{std::move(barred)} {
    barred_.insert(kMarkCount);
  }

  [[nodiscard]] std::size_t size() const { return image_.words.size(); }
  [[nodiscard]] std::size_t asked_to() const { return asked_to_; }

  [[nodiscard]] bool kept_off_the_barred() const {
    return std::none_of(image_.counts.begin(), image_.counts.end(),
                        [&](std::uint16_t count) { return barred_.contains(count); });
  }

  /// Reads on until all of [0, end) is there, and nothing beyond.
  link::Result<void> read_to(std::size_t end) {
    while (size() < end) {
      const std::uint32_t bad_frames = reader_.statistics().counts.frames_bad;
      for (const Span& block : planned(end)) {
        const link::Result<void> done = read(block);
        const bool worse = reader_.statistics().counts.frames_bad != bad_frames;
        if (!done && !(worse && halved(block, done.error()))) return done;
        if (worse) break;
      }
    }
    return {};
  }

 private:
  [[nodiscard]] std::vector<Span> planned(std::size_t end) const {
    auto costs = read_costs(reader_.line_cost());
    for (const std::uint16_t count : barred_) costs.at(count) = kBarred;
    auto most = std::min(count_max_, block_count_max(reader_));
    // As many longer ones are allowed as are barred, so that there is a choice.
    for (const std::uint16_t count : barred_) {
      if (count <= most && most < kReadRegistersMax) ++most;
    }
    return plan_reads(wish(end, most), costs);
  }

  // A latched value stands still, so where blocks have to be short it may be parted.
  [[nodiscard]] link::plan::Wish wish(std::size_t end, std::uint16_t count_max) const {
    link::plan::Wish wish;
    wish.readable = {{kImageAddress, static_cast<std::uint16_t>(end)}};
    wish.wanted = {{address_of(size()), static_cast<std::uint16_t>(end - size())}};
    wish.count_max = count_max;
    wish.count_before = count_before_;
    if (count_max == kReadRegistersMax) wish.whole = values(size(), end);
    return wish;
  }

  link::Result<void> read(const Span& block) {
    count_before_ = block.count;
    asked_to_ = block.end() - kImageAddress;
    image_.counts.insert(block.count);
    const auto words = reader_.read(link::Table::kInput, block.address, block.count);
    if (!words) return tl::unexpected{words.error()};
    if (words->size() != block.count) {
      return link::failure(link::Fault::kSenseless,
                           "the unit sent another number of registers than was asked");
    }
    image_.words.resize(std::max(size(), asked_to_));
    std::copy(words->begin(), words->end(), image_.words.begin() + (block.address - kImageAddress));
    return {};
  }

  bool halved(const Span& block, const link::LinkError& error) {
    const bool spoilt = error.fault == link::Fault::kNoisy || error.fault == link::Fault::kSilent;
    if (!spoilt || block.count == 1 || halved_ == kHalvedMax) return false;
    ++halved_;
    count_max_ = block.count / 2;
    return true;
  }

  Reader& reader_;
  Image& image_;
  std::set<std::uint16_t> barred_;
  std::size_t asked_to_ = 0;
  std::uint16_t count_before_ = 0;
  std::uint16_t count_max_ = kReadRegistersMax;
  int halved_ = 0;
};

}  // namespace

link::Result<void> read_image(Reader& reader, Image& image) {
  Blocks blocks{reader, image, {}};
  const std::vector<std::size_t> ends = boundaries();
  // The image ends before `refused`, on a boundary: halve what is left until none is between.
  std::size_t refused = std::size_t{protocol::points::image_size()} + 1;
  std::size_t next = protocol::points::image_size();
  while (true) {
    const link::Result<void> done = blocks.read_to(next);
    if (!done && !beyond_the_end(done.error())) return tl::unexpected{done.error()};
    if (!done) refused = blocks.asked_to();
    const auto first = std::upper_bound(ends.begin(), ends.end(), blocks.size());
    const auto last = std::lower_bound(ends.begin(), ends.end(), refused);
    if (first >= last) return {};
    next = *(first + (last - first) / 2);
  }
}

link::Result<bool> reads_the_same(Reader& reader, const Image& image) {
  Image other;
  Blocks again{reader, other, image.counts};
  const std::size_t size = image.words.size();
  const link::Result<void> done = again.read_to(size);
  if (!done && beyond_the_end(done.error())) return false;
  if (!done) return tl::unexpected{done.error()};
  if (!again.kept_off_the_barred() || other.words != image.words) return false;
  if (size == protocol::points::image_size()) return true;
  const std::vector<std::size_t> ends = boundaries();
  const link::Result<void> beyond = again.read_to(*std::upper_bound(ends.begin(), ends.end(), size));
  if (!beyond && !beyond_the_end(beyond.error())) return tl::unexpected{beyond.error()};
  return !beyond;
}

std::map<Point, protocol::points::Reading> decode_image(const std::vector<std::uint16_t>& image) {
  std::map<Point, protocol::points::Reading> points;
  for (std::size_t i = 0; i < protocol::points::kPointCount; ++i) {
    const auto point = static_cast<Point>(i);
    const Layout& layout = protocol::points::layout(point);
    const std::size_t count = register_count(layout.type);
    if (layout.image == protocol::points::kNotInImage || layout.image + count > image.size()) continue;
    points[point] = decode(point, std::span{image}.subspan(layout.image, count));
  }
  return points;
}

}  // namespace host::verify
