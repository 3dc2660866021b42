#include "tests/host/model/catalogue_copy.hpp"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace fs = std::filesystem;

CatalogueCopy::CatalogueCopy() {
  std::string name = (fs::temp_directory_path() / "strapline-catalogue-XXXXXX").string();
  root_ = mkdtemp(name.data());
  fs::copy("host/catalog", root_, fs::copy_options::recursive);
}

CatalogueCopy::~CatalogueCopy() {
  std::error_code ignored;
  fs::remove_all(root_, ignored);
}

std::string CatalogueCopy::read(std::string_view file) const {
  std::ostringstream text;
  text << std::ifstream(path(file), std::ios::binary).rdbuf();
  return text.str();
}

void CatalogueCopy::write(std::string_view file, std::string_view text) const {
  std::ofstream(path(file), std::ios::binary | std::ios::trunc) << text;
}

bool CatalogueCopy::replace(std::string_view file, std::string_view what, std::string_view with) const {
  std::string text = read(file);
  const std::size_t at = text.find(what);
  if (at == std::string::npos) return false;
  write(file, text.replace(at, what.size(), with));
  return true;
}
