#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace host::signal::card {

/// Eight bits a colour, full range.
struct Rgb {
  std::uint8_t red = 0, green = 0, blue = 0;
  friend constexpr bool operator==(const Rgb&, const Rgb&) = default;
};

inline constexpr Rgb kBlack{};
inline constexpr Rgb kWhite{255, 255, 255};

/// A picture: rows of pixels from the upper left corner. Drawing outside it is cut off.
class Raster {
 public:
  /// Precondition: width and height are 1..16384.
  Raster(int width, int height, Rgb ground = kBlack)
      : width_{width},
        height_{height},
        pixels_(static_cast<std::size_t>(width) * static_cast<std::size_t>(height), ground) {}

  [[nodiscard]] int width() const { return width_; }
  [[nodiscard]] int height() const { return height_; }

  /// Precondition: inside the picture.
  [[nodiscard]] Rgb at(int x, int y) const { return pixels_[index(x, y)]; }

  void set(int x, int y, Rgb colour) {
    if (x >= 0 && x < width_ && y >= 0 && y < height_) pixels_[index(x, y)] = colour;
  }

  /// Fills the rectangle whose upper left corner is x, y.
  void fill(int x, int y, int width, int height, Rgb colour) {
    for (int row = y; row < y + height; ++row) {
      for (int column = x; column < x + width; ++column) set(column, row, colour);
    }
  }

  friend bool operator==(const Raster&, const Raster&) = default;

 private:
  [[nodiscard]] std::size_t index(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(width_) + static_cast<std::size_t>(x);
  }

  int width_;
  int height_;
  std::vector<Rgb> pixels_;
};

}  // namespace host::signal::card
