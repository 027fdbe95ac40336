#include "stillpoint/net/retry.h"

namespace stillpoint::net {

bool is_worth_retrying(const Error& why, bool worked) {
  switch (why.code) {
    case ErrorCode::kIo:
    case ErrorCode::kTruncated:
    case ErrorCode::kTooLarge:
      return true;
    case ErrorCode::kConfig:
      return worked;
    default:
      return false;
  }
}

}  // namespace stillpoint::net
