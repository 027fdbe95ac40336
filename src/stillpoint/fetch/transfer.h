// One file brought from an address to a path.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::fetch {

enum class TransferOutcome : std::uint8_t {
  kDone,
  kMissing,  // the other side answers that it has no such file
  kFailed,   // the other side cannot be reached, refuses, or breaks off
};

struct TransferAnswer {
  TransferOutcome outcome = TransferOutcome::kFailed;
  std::uint64_t size_bytes = 0;
  Error why;  // kFailed: what happened and what to do; never a secret
};

class Transfer {
 public:
  Transfer() = default;
  Transfer(const Transfer&) = delete;
  Transfer& operator=(const Transfer&) = delete;
  Transfer(Transfer&&) = delete;
  Transfer& operator=(Transfer&&) = delete;
  virtual ~Transfer() = default;

  // Writes the whole body to `path`, replacing what is there; returns when all
  // of it is on the disk. After anything but kDone the path may hold a part.
  //
  //   errors   kIo when the path cannot be written, which no other archive
  //            can help; everything else is an answer
  virtual Result<TransferAnswer> get(const std::string& url,
                                     const std::filesystem::path& path) = 0;
};

}  // namespace stillpoint::fetch
