// Feeds every file of a folder to a fuzz harness, so that plain ctest, with
// any compiler, repeats what fuzzing once found. An empty folder is a mistake:
// a test that looks at nothing must not pass.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <system_error>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size);

namespace {

std::vector<std::filesystem::path> files_of(const char* folder) {
  std::vector<std::filesystem::path> files;
  std::error_code error;
  for (const auto& entry : std::filesystem::directory_iterator(folder, error)) {
    if (entry.is_regular_file()) {
      files.push_back(entry.path());
    }
  }
  std::sort(files.begin(), files.end());
  return files;
}

std::vector<std::uint8_t> bytes_of(const std::filesystem::path& path) {
  std::ifstream stream(path, std::ios::binary);
  const std::string text{std::istreambuf_iterator<char>(stream), {}};
  return {text.begin(), text.end()};
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fprintf(stderr, "usage: replay_PARSER FOLDER\n");
    return 2;
  }
  const std::vector<std::filesystem::path> files = files_of(argv[1]);
  for (const std::filesystem::path& path : files) {
    // Said before the run: after a crash it is the last line.
    std::printf("%s\n", path.filename().c_str());
    std::fflush(stdout);
    const std::vector<std::uint8_t> bytes = bytes_of(path);
    LLVMFuzzerTestOneInput(bytes.data(), bytes.size());
  }
  std::printf("%zu inputs replayed\n", files.size());
  if (files.empty()) {
    std::fprintf(stderr, "%s: no inputs there\n", argv[1]);
    return 1;
  }
  return 0;
}
