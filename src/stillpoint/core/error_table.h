// The rows behind error_name() and default_remedy(), for tests and documents.
#pragma once

#include <span>

#include "stillpoint/core/result.h"

namespace stillpoint {

struct ErrorRow {
  ErrorCode code;
  const char* name;
  const char* remedy;
};

std::span<const ErrorRow> error_rows();

}  // namespace stillpoint
