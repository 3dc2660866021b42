#include "host/signal/card/png.hpp"

#include <cstddef>
#include <cstdint>
#include <vector>

#include <doctest/doctest.h>
#include <png.h>

using namespace host::signal::card;

TEST_SUITE("host/signal/card") {
  TEST_CASE("what is written reads back pixel by pixel, and is the same each time") {
    Raster raster{19, 7};
    for (int y = 0; y < 7; ++y) {
      for (int x = 0; x < 19; ++x) {
        raster.set(x, y,
                   {static_cast<std::uint8_t>(x * 13), static_cast<std::uint8_t>(y * 36),
                    static_cast<std::uint8_t>(x * y)});
      }
    }
    const std::vector<std::uint8_t> file = to_png(raster);
    REQUIRE(file.size() > 8);
    CHECK(to_png(raster) == file);

    png_image image{};
    image.version = PNG_IMAGE_VERSION;
    REQUIRE(png_image_begin_read_from_memory(&image, file.data(), file.size()) != 0);
    CHECK(image.width == 19);
    CHECK(image.height == 7);
    image.format = PNG_FORMAT_RGB;
    std::vector<std::uint8_t> pixels(PNG_IMAGE_SIZE(image));
    REQUIRE(png_image_finish_read(&image, nullptr, pixels.data(), 0, nullptr) != 0);
    for (int y = 0; y < 7; ++y) {
      for (int x = 0; x < 19; ++x) {
        const std::size_t at = (static_cast<std::size_t>(y) * 19 + static_cast<std::size_t>(x)) * 3;
        REQUIRE(Rgb{pixels[at], pixels[at + 1], pixels[at + 2]} == raster.at(x, y));
      }
    }
  }
}
