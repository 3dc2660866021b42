#pragma once

#include <string>
#include <string_view>

#include "host/model/catalogue.hpp"

/// A copy of the shipped catalogue in a folder of its own, to plant defects in; gone with its owner.
class CatalogueCopy {
 public:
  CatalogueCopy();
  ~CatalogueCopy();
  CatalogueCopy(const CatalogueCopy&) = delete;
  CatalogueCopy& operator=(const CatalogueCopy&) = delete;

  [[nodiscard]] host::model::Catalogue catalogue() const { return {root_}; }
  [[nodiscard]] std::string path(std::string_view file) const { return root_ + "/" + std::string(file); }

  [[nodiscard]] std::string read(std::string_view file) const;
  void write(std::string_view file, std::string_view text) const;

  /// Puts `with` in the place of the first `what`; false when the file has no such text.
  [[nodiscard]] bool replace(std::string_view file, std::string_view what, std::string_view with) const;

 private:
  std::string root_;
};
