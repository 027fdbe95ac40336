// A position record out of the document that `locate --json` or `tie --json`
// printed (docs/schemas/locate.schema.json, tie.schema.json).
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/store/position_records.h"

namespace stillpoint::report {

inline constexpr std::size_t kMostDocumentBytes = std::size_t{4} << 20U;

// The bytes are kept whole in the record, with their checksum.
//
//   sha256   of the bytes, lower-case hex; the caller computes it
//   where    for errors: the path of the file
//   errors   kTooLarge; kBadFormat for anything that is no such document, with
//            the key; kUnsupported for another schema_version; kNoData for a
//            solution that failed or did not converge, or that left
//            corrections out (--without); kFrameUnknown where the document
//            names no frame
//   threads  pure
Result<PositionRecord> parse_record_document(std::string_view text,
                                             std::string sha256,
                                             const std::string& where);

// The class of the orbits and clocks by the names of the files that went in:
// "final", "rapid", "ultra", "precise" where the name does not say, "broadcast"
// where there are none. The poorest counts.
//
//   source   long names AAAVPPPTTT_…, TTT = FIN, RAP, ULT; short names
//            igsWWWWD.sp3, igr…, igu… (from memory of the IGS guidelines)
class ProductClass {
 public:
  void add(std::string_view path);
  [[nodiscard]] const char* name() const;

 private:
  int poorest_ = 0;  // 0: no orbit or clock file seen
};

}  // namespace stillpoint::report
