#include "stillpoint/app/demo_folder.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <filesystem>
#include <string_view>
#include <system_error>
#include <utility>

#include "stillpoint/station/small_file.h"
#include "stillpoint/station/state_folder.h"

namespace stillpoint::app {
namespace {

namespace fs = std::filesystem;

// By this file a demo knows a folder of its own again.
constexpr std::string_view kAboutName = "ABOUT.txt";
constexpr std::string_view kMark = "Made by stillpoint demo.";
constexpr std::string_view kAbout =
    "Made by stillpoint demo. Everything in this folder is simulated.\n"
    "\n"
    "station.toml    the settings of the simulated station\n"
    "receiver.toml   what its simulated receiver is told at the start\n"
    "state/          the station's folder: raw/ every received byte, "
    "station.db\n"
    "                logbook, accounts and minute values, keys/\n"
    "rovers/         the passwords of its two rovers\n"
    "rinex/          what was recorded, as RINEX files\n"
    "position.json   what locate found from the first of them\n"
    "logs/           what the station and the others said\n"
    "\n"
    "The next demo in this folder deletes all of these. Delete them yourself "
    "if\nyou like; nothing else uses them.\n";
constexpr std::size_t kMostAbout = 65'536;

tl::unexpected<Error> refused(const std::string& what,
                              const std::string& path) {
  return fail(ErrorCode::kUsage,
              what,
              path,
              "give another folder with --dir, one that is not there or empty");
}

tl::unexpected<Error> io(const std::string& what, const std::string& path) {
  return fail(ErrorCode::kIo, what, path, "give another folder with --dir");
}

bool is_a_demos(const fs::path& folder) {
  const auto about = station::read_small_file(folder / kAboutName, kMostAbout);
  return about && about->starts_with(kMark);
}

// A station of an earlier demo that somebody has started again.
Status nobody_works_in(const std::string& state) {
  std::error_code problem;
  if (!fs::exists(state, problem)) {
    return ok();
  }
  const auto held = station::StateFolder::open(state);
  if (!held) {
    return fail(ErrorCode::kIo,
                held.error().what,
                state,
                "end it first, or give another folder with --dir");
  }
  return ok();
}

Status clear(const fs::path& folder) {
  for (const char* name : {"state",
                           "rovers",
                           "rinex",
                           "products",
                           "logs",
                           "station.toml",
                           "receiver.toml",
                           "position.json"}) {
    std::error_code problem;
    fs::remove_all(folder / name, problem);
    if (problem) {
      return io("cannot be deleted: " + problem.message(), folder / name);
    }
  }
  return ok();
}

Status make(const fs::path& folder) {
  std::error_code problem;
  for (const char* name : {"state", "rovers", "rinex", "products", "logs"}) {
    fs::create_directories(folder / name, problem);
    if (problem) {
      return io("cannot be made: " + problem.message(), folder / name);
    }
  }
  for (const char* name : {"state", "rovers"}) {
    fs::permissions(folder / name, fs::perms::owner_all, problem);
  }
  return ok();
}

}  // namespace

Result<DemoFolder> DemoFolder::take(const std::string& path) {
  std::error_code problem;
  fs::path folder = fs::absolute(path, problem).lexically_normal();
  if (!folder.has_filename()) {
    folder = folder.parent_path();  // without the slash at its end
  }
  if (fs::exists(folder, problem)) {
    if (!fs::is_directory(folder, problem)) {
      return refused("is no folder", folder);
    }
    if (!fs::is_empty(folder, problem) && !is_a_demos(folder)) {
      return refused("has things in it that no demo has made", folder);
    }
  } else if (fs::create_directories(folder, problem); problem) {
    return io("cannot be made: " + problem.message(), folder);
  }
  const fs::path about = folder / kAboutName;
  const int lock = ::open(about.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
  if (lock < 0) {
    return io("cannot be written", about);
  }
  DemoFolder taken(folder.string(), lock);
  if (::flock(lock, LOCK_EX | LOCK_NB) != 0) {
    return io("another demo works in this folder", folder);
  }
  const auto length = static_cast<ssize_t>(kAbout.size());
  if (::ftruncate(lock, 0) != 0 ||
      ::pwrite(lock, kAbout.data(), kAbout.size(), 0) != length) {
    return io("cannot be written", about);
  }
  Status ready = nobody_works_in(taken.state());
  if (ready) {
    ready = clear(folder);
  }
  if (ready) {
    ready = make(folder);
  }
  if (!ready) {
    return fail(std::move(ready.error()));
  }
  return taken;
}

DemoFolder::DemoFolder(DemoFolder&& other) noexcept
    : path_(std::move(other.path_)), lock_(std::exchange(other.lock_, -1)) {}

DemoFolder::~DemoFolder() {
  if (lock_ >= 0) {
    ::close(lock_);
  }
}

}  // namespace stillpoint::app
