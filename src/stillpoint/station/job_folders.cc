#include "stillpoint/station/job_folders.h"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/station/job_document.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::station {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostText = std::size_t{1} << 20U;
constexpr std::size_t kMostDigits = 15;
constexpr int kDeepest = 4;

void remove_tree(const fs::path& path) {
  std::error_code ignored;
  fs::remove_all(path, ignored);
}

}  // namespace

std::optional<JobNumber> job_number(std::string_view id) {
  if (id.empty() || id.size() > kMostDigits || id.front() == '0' ||
      !std::all_of(
          id.begin(), id.end(), [](char c) { return c >= '0' && c <= '9'; })) {
    return std::nullopt;
  }
  return static_cast<JobNumber>(parse_int(id).value_or(0));
}

Result<JobFolders::Found> JobFolders::read() const {
  std::error_code error;
  fs::create_directory(root_, error);
  if (error) {
    return fail(ErrorCode::kIo, error.message(), root_);
  }
  Found found;
  fs::directory_iterator at(root_, error), end;
  for (; !error && at != end; at.increment(error)) {
    const std::string id = at->path().filename().string();
    const auto number = job_number(id);
    if (!number) {
      continue;
    }
    found.highest = std::max(found.highest, *number);
    const auto request = read_small_file(folder(id) + "/job.json", kMostText);
    const auto state = read_small_file(folder(id) + "/state.json", kMostText);
    auto job = request ? parse_job(*request, state.value_or(""))
                       : fail(request.error());
    if (!job || job->id != id) {
      found.problems.push_back(folder(id));
      continue;
    }
    found.jobs.emplace(*number, std::move(*job));
  }
  if (error) {
    return fail(ErrorCode::kIo, error.message(), root_);
  }
  const auto memory = read_small_file(root_ + "/memory.json", kMostText);
  auto remembered = memory ? parse_memory(*memory) : fail(memory.error());
  if (remembered) {
    found.memory = std::move(*remembered);
  } else if (memory) {
    found.problems.push_back(root_ + "/memory.json");
  }
  return found;
}

Status JobFolders::make(const JobView& job) const {
  std::error_code error;
  fs::create_directory(folder(job.id), error);
  if (error) {
    return fail(ErrorCode::kIo, error.message(), folder(job.id));
  }
  return write_private_file(folder(job.id) + "/job.json", request_text(job));
}

Status JobFolders::write_state(const JobView& job) const {
  return write_private_file(folder(job.id) + "/state.json", state_text(job));
}

Status JobFolders::write_memory(const JobMemory& memory) const {
  return write_private_file(root_ + "/memory.json", memory_text(memory));
}

void JobFolders::remove(const std::string& id) const {
  remove_tree(folder(id));
}

void JobFolders::remove_files(const std::string& id) const {
  remove_tree(fs::path(folder(id)) / "files");
}

void JobFolders::remove_work(const std::string& id) const {
  remove_tree(fs::path(folder(id)) / "work");
}

std::vector<std::string> files_below(const std::string& folder,
                                     std::size_t most) {
  std::vector<std::string> paths;
  if (folder.empty()) {
    return paths;
  }
  std::error_code error;
  fs::recursive_directory_iterator at(folder, error), end;
  while (!error && at != end && paths.size() < most) {
    std::error_code of_file;
    if (at->is_regular_file(of_file)) {
      paths.push_back(at->path().string());
    }
    if (at.depth() >= kDeepest) {
      at.disable_recursion_pending();
    }
    at.increment(error);
  }
  return paths;
}

}  // namespace stillpoint::station
