#include "host/verify/image.hpp"

#include <algorithm>
#include <span>

#include "protocol/pdu/function.hpp"
#include "protocol/points/layout.hpp"

namespace host::verify {
namespace {

using protocol::pdu::kReadRegistersMax;
using protocol::points::kImageAddress;
using protocol::points::Layout;
using protocol::points::Point;

bool beyond_the_end(const link::LinkError& error) {
  return error.fault == link::Fault::kRefused && error.exception_code &&
         *error.exception_code ==
             static_cast<std::uint8_t>(protocol::pdu::ExceptionCode::kIllegalDataAddress);
}

// Where points end in the image, ascending.
std::vector<std::size_t> boundaries() {
  std::vector<std::size_t> ends;
  for (const Layout& layout : protocol::points::layouts()) {
    if (layout.image == protocol::points::kNotInImage) continue;
    ends.push_back(std::size_t{layout.image} + register_count(layout.type));
  }
  std::sort(ends.begin(), ends.end());
  return ends;
}

link::Result<void> append(Reader& reader, std::vector<std::uint16_t>& image, std::size_t end) {
  const auto address = static_cast<std::uint16_t>(kImageAddress + image.size());
  const auto count = static_cast<std::uint16_t>(end - image.size());
  link::Result<std::vector<std::uint16_t>> words = reader.read(link::Table::kInput, address, count);
  if (!words) return tl::unexpected{words.error()};
  if (words->size() != count) {
    return link::failure(link::Fault::kSenseless, "the unit sent another number of registers than was asked");
  }
  image.insert(image.end(), words->begin(), words->end());
  return {};
}

// [image.size(), refused) holds the end: halve it until no point ends between.
link::Result<void> find_end(Reader& reader, std::vector<std::uint16_t>& image, std::size_t refused) {
  const std::vector<std::size_t> ends = boundaries();
  while (true) {
    const auto first = std::upper_bound(ends.begin(), ends.end(), image.size());
    const auto last = std::lower_bound(ends.begin(), ends.end(), refused);
    if (first >= last) return {};
    const std::size_t middle = *(first + (last - first) / 2);
    const link::Result<void> done = append(reader, image, middle);
    if (done) continue;
    if (!beyond_the_end(done.error())) return done;
    refused = middle;
  }
}

}  // namespace

std::vector<std::uint16_t> block_sizes(std::uint16_t size, std::uint16_t skew) {
  std::vector<std::uint16_t> sizes;
  auto most = static_cast<std::uint16_t>(kReadRegistersMax - skew);
  while (size > 0) {
    const std::uint16_t count = std::min(size, most);
    sizes.push_back(count);
    size = static_cast<std::uint16_t>(size - count);
    most = count == kReadRegistersMax ? kReadRegistersMax - 1 : kReadRegistersMax;
  }
  // Only what is left over can be like its neighbour; that one then gives it a register.
  if (const std::size_t n = sizes.size(); n > 1 && sizes[n - 1] == sizes[n - 2]) {
    --sizes[n - 2];
    ++sizes[n - 1];
  }
  return sizes;
}

link::Result<std::vector<std::uint16_t>> read_image(Reader& reader, std::uint16_t skew) {
  std::vector<std::uint16_t> image;
  for (const std::uint16_t size : block_sizes(protocol::points::image_size(), skew)) {
    const std::size_t end = image.size() + size;
    const link::Result<void> done = append(reader, image, end);
    if (done) continue;
    if (!beyond_the_end(done.error())) return tl::unexpected{done.error()};
    const link::Result<void> found = find_end(reader, image, end);
    if (!found) return tl::unexpected{found.error()};
    break;
  }
  return image;
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
