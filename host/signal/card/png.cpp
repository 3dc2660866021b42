#include "host/signal/card/png.hpp"

#include <cstddef>

#include <png.h>

namespace host::signal::card {
namespace {

std::vector<std::uint8_t> packed(const Raster& raster) {
  std::vector<std::uint8_t> octets;
  octets.reserve(static_cast<std::size_t>(raster.width()) * static_cast<std::size_t>(raster.height()) * 3);
  for (int y = 0; y < raster.height(); ++y) {
    for (int x = 0; x < raster.width(); ++x) {
      const Rgb pixel = raster.at(x, y);
      octets.insert(octets.end(), {pixel.red, pixel.green, pixel.blue});
    }
  }
  return octets;
}

}  // namespace

std::vector<std::uint8_t> to_png(const Raster& raster) {
  // libpng's simplified interface reports failure by its result; it neither jumps nor throws.
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(raster.width());
  image.height = static_cast<png_uint_32>(raster.height());
  image.format = PNG_FORMAT_RGB;
  const std::vector<std::uint8_t> pixels = packed(raster);

  png_alloc_size_t size = 0;
  if (png_image_write_to_memory(&image, nullptr, &size, 0, pixels.data(), 0, nullptr) == 0) return {};
  std::vector<std::uint8_t> file(size);
  if (png_image_write_to_memory(&image, file.data(), &size, 0, pixels.data(), 0, nullptr) == 0) return {};
  file.resize(size);
  return file;
}

}  // namespace host::signal::card
