#include "tests/support/test_data.h"

#include <cstdlib>
#include <filesystem>

namespace stillpoint::test {

std::string data_path(const std::string& relative) {
  const char* root = std::getenv("STILLPOINT_DATA");
  // scripts/test sets the second one for its sanitizer run, where whole days
  // take too long; the release run reads them.
  if (root == nullptr || *root == '\0' ||
      std::getenv("STILLPOINT_NO_DATA") != nullptr) {
    return {};
  }
  const std::filesystem::path path = std::filesystem::path(root) / relative;
  return std::filesystem::exists(path) ? path.string() : std::string();
}

}  // namespace stillpoint::test
