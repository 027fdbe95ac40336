// Small files that hold a secret: readable by their owner only, and whole or
// not there whenever the power goes. Internal.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"

namespace stillpoint::people {

// An open file, closed when it goes.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  Descriptor(Descriptor&&) = delete;
  Descriptor& operator=(Descriptor&&) = delete;
  ~Descriptor();
  [[nodiscard]] int get() const { return number_; }

 private:
  int number_;
};

// kIo with the system's words for errno: "cannot <doing>: …".
tl::unexpected<Error> file_refused(const std::string& doing,
                                   const std::filesystem::path& path,
                                   std::string remedy = {});

// Writes and syncs; `what` is the file's content in words, for errors.
Status write_whole(int file,
                   std::string_view bytes,
                   const std::string& what,
                   const std::filesystem::path& path);

Status sync_folder(const std::filesystem::path& folder);

// Where a file lies; a name alone lies in the folder that we are in.
std::filesystem::path folder_of(const std::filesystem::path& path);

// In place of what is there; on the disk once this has returned.
//
//   errors   kIo: the file is as it was before
Status replace_private_file(const std::filesystem::path& path,
                            std::string_view text,
                            const std::string& what);

}  // namespace stillpoint::people
