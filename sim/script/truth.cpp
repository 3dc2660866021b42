#include "sim/script/truth.hpp"

#include <string_view>

namespace sim::script {
namespace {

std::string quoted(std::string_view text) {
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string out = "\"";
  for (const char c : text) {
    const auto octet = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (octet < 0x20 || octet == 0x7F) {
      out += "\\u00";
      out += kDigits[octet >> 4U];
      out += kDigits[octet & 0xFU];
    } else {
      out += c;
    }
  }
  return out + '"';
}

std::string list(const std::vector<std::string>& words) {
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : ",") + quoted(word);
  return "[" + out + "]";
}

}  // namespace

std::string to_json(const Truth& truth) {
  std::string straps;
  for (const auto& [id, position] : truth.straps) {
    straps += (straps.empty() ? "" : ",") + quoted(id) + ":" + quoted(position);
  }
  std::vector<std::string> faults;
  std::string hits;
  for (const auto& [fault, count] : truth.faults) {
    faults.push_back(fault);
    hits += (hits.empty() ? "" : ",") + quoted(fault) + ":" + std::to_string(count);
  }
  return R"({"schema":"strapline/truth/1","straps":{)" + straps + R"(},"faults":)" + list(faults) +
         R"(,"hits":{)" + hits + R"(},"screen":)" + quoted(truth.eye.screen) + R"(,"look":)" +
         list(truth.eye.look) + R"(,"when":)" + quoted(truth.eye.when) + R"(,"damaged":)" +
         list(truth.damaged) + "}";
}

}  // namespace sim::script
