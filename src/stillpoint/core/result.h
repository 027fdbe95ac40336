// Result<T>: a value or an Error, for everything that data, hardware or people
// can break. What only we can break asserts (STILLPOINT_CHECK).
#pragma once

#include <string>
#include <tl/expected.hpp>
#include <utility>
#include <variant>

namespace stillpoint {

// Every failure that data, hardware or a person can cause. One row each in
// docs/errors.md (what happened, what to do); a test holds enum and table
// together. Numbers are stored; never renumber.
enum class ErrorCode : int {
  kTruncated = 1,
  kBadChecksum = 2,
  kOutOfRange = 3,
  kIo = 4,
  kConfig = 5,
  kUsage = 6,
  kBadFormat = 7,
  kUnsupported = 8,
  kTooLarge = 9,
  kNoData = 10,
  kMixedInput = 11,
  kBadHeader = 12,
  kInternal = 13,
  kFrameUnknown = 14,
};

// The symbolic name used in JSON and in vectors, e.g. "bad_format".
const char* error_name(ErrorCode code);

// What an owner should do about an error of this kind, one sentence.
const char* default_remedy(ErrorCode code);

struct Error {
  ErrorCode code = ErrorCode::kInternal;
  std::string what;    // values, e.g. "satellite count 'x7' is not a number"
  std::string where;   // place, e.g. "ESBC.crx.gz:4711"; may be empty
  std::string remedy;  // empty: default_remedy(code)

  // "where: what" for logs and people.
  [[nodiscard]] std::string text() const;
};

template <class T>
using Result = tl::expected<T, Error>;
using Status = Result<std::monostate>;

inline Status ok() {
  return std::monostate{};
}

// return fail(ErrorCode::kTruncated, "…", "file:12");
[[nodiscard]] inline tl::unexpected<Error> fail(ErrorCode code,
                                                std::string what,
                                                std::string where = {},
                                                std::string remedy = {}) {
  return tl::unexpected<Error>(
      Error{code, std::move(what), std::move(where), std::move(remedy)});
}

// Hands an error on unchanged: return fail(std::move(r.error()));
[[nodiscard]] inline tl::unexpected<Error> fail(Error error) {
  return tl::unexpected<Error>(std::move(error));
}

}  // namespace stillpoint
