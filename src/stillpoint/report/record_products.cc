#include <algorithm>
#include <array>
#include <cctype>

#include "stillpoint/report/record_document.h"

namespace stillpoint::report {
namespace {

// The poorest first; what does not say its class may be the poorest.
enum Class : int { kNone = 0, kUnsaid = 1, kUltra = 2, kRapid = 3, kFinal = 4 };
constexpr std::array kNames{"broadcast", "precise", "ultra", "rapid", "final"};

std::string small_name(std::string_view path) {
  const std::size_t slash = path.find_last_of("/\\");
  std::string name(slash == std::string_view::npos ? path
                                                   : path.substr(slash + 1));
  std::transform(name.begin(), name.end(), name.begin(), [](unsigned char c) {
    return static_cast<char>(std::tolower(c));
  });
  return name;
}

Class class_of(const std::string& name) {
  // AAAVPPPTTT_: the class stands in columns 7 to 9.
  constexpr std::size_t kAt = 7, kEnd = 10;
  if (name.size() > kEnd && name[kEnd] == '_') {
    const std::string type = name.substr(kAt, kEnd - kAt);
    if (type == "fin") {
      return kFinal;
    }
    if (type == "rap") {
      return kRapid;
    }
    if (type == "ult" || type == "nrt" || type == "rts") {
      return kUltra;
    }
  }
  constexpr std::size_t kWeekAt = 3;
  if (name.size() > kWeekAt &&
      std::isdigit(static_cast<unsigned char>(name[kWeekAt])) != 0) {
    if (name.starts_with("igs")) {
      return kFinal;
    }
    if (name.starts_with("igr")) {
      return kRapid;
    }
    if (name.starts_with("igu")) {
      return kUltra;
    }
  }
  return kUnsaid;
}

}  // namespace

void ProductClass::add(std::string_view path) {
  const std::string name = small_name(path);
  const bool product = name.find(".sp3") != std::string::npos ||
                       name.find(".clk") != std::string::npos ||
                       name.find(".eph") != std::string::npos;
  if (!product) {
    return;
  }
  const Class found = class_of(name);
  poorest_ = poorest_ == kNone ? found : std::min<int>(poorest_, found);
}

const char* ProductClass::name() const {
  return kNames.at(static_cast<std::size_t>(poorest_));
}

}  // namespace stillpoint::report
