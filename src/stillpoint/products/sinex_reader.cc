#include "stillpoint/products/sinex_reader.h"

#include <algorithm>
#include <iterator>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/pack/line_reader.h"
#include "stillpoint/products/fixed_text.h"
#include "stillpoint/products/last_line.h"
#include "stillpoint/products/sinex_blocks.h"
#include "stillpoint/products/sinex_fields.h"
#include "stillpoint/products/sinex_offsets.h"
#include "stillpoint/products/sp3_fields.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kMaxRows = 500'000;
constexpr std::size_t kMaxCommentBytes = std::size_t{4} << 20;

// One of the two is set; neither: the block's lines are kept as they are.
struct BlockKind {
  std::string_view name;
  std::string_view (SinexSites::*site_row)(SinexLine) = nullptr;
  std::string_view (SinexOffsets::*offset_row)(SinexLine) = nullptr;
};

constexpr BlockKind kKinds[] = {
    {"FILE/REFERENCE"},
    {"FILE/COMMENT"},
    {"SITE/ID", &SinexSites::take_identity},
    {"SITE/RECEIVER", &SinexSites::take_receiver},
    {"SITE/ANTENNA", &SinexSites::take_antenna},
    {"SITE/ECCENTRICITY", &SinexSites::take_eccentricity},
    {"SITE/GPS_PHASE_CENTER", nullptr, &SinexOffsets::take_gps_antenna},
    {"SITE/GAL_PHASE_CENTER", nullptr, &SinexOffsets::take_galileo_antenna},
    {"SATELLITE/ID", nullptr, &SinexOffsets::take_satellite_name},
    {"SATELLITE/PHASE_CENTER", nullptr, &SinexOffsets::take_satellite},
    {"SOLUTION/EPOCHS", &SinexSites::take_epochs},
    {"SOLUTION/ESTIMATE", &SinexSites::take_estimate}};

class SinexReader {
 public:
  SinexReader(std::unique_ptr<ByteStream> stream, SinexReaderOptions options)
      : lines_(std::move(stream)), options_(options) {}

  Result<SinexProduct> read();

 private:
  Status read_first();
  Status take_line(std::string_view line);
  Status take_mark(std::string_view line);
  Status take_row(std::string_view line);
  Status keep(std::string_view line);
  Result<std::string_view> need_line();

  [[nodiscard]] tl::unexpected<Error> bad(std::string what) const {
    return fail(ErrorCode::kBadFormat, std::move(what), lines_.where());
  }
  [[nodiscard]] tl::unexpected<Error> bad_head(std::string what) const {
    return fail(ErrorCode::kBadHeader, std::move(what), lines_.where());
  }
  [[nodiscard]] tl::unexpected<Error> too_large(std::string what) const {
    return fail(ErrorCode::kTooLarge, std::move(what), lines_.where());
  }

  LineReader lines_;
  SinexReaderOptions options_;
  SinexProduct product_;
  SinexSites sites_;
  SinexOffsets offsets_;
  std::string block_;                // open block, or empty
  const BlockKind* kind_ = nullptr;  // nothing: stepped over
  std::size_t rows_ = 0, comment_bytes_ = 0;
};

Result<std::string_view> SinexReader::need_line() {
  std::string_view line;
  const auto more = lines_.next(line);
  if (!more) {
    return fail(more.error());
  }
  if (!*more) {
    return fail(ErrorCode::kTruncated,
                "the file ends without its %ENDSNX line",
                lines_.where(),
                "Fetch the file again; a part of it is not used.");
  }
  return line;
}

Status SinexReader::read_first() {
  const auto text = need_line();
  if (!text) {
    return fail(text.error());
  }
  if (!text->starts_with("%=SNX ")) {
    return bad_head("not a SINEX file: the first line is not %=SNX");
  }
  SinexLine line(*text);
  const std::string_view printed = line.text(6, 10);
  const auto version = to_number(printed);
  constexpr double kOldest = 0.995, kNewest = 2.105;
  if (!version || *version < kOldest || *version > kNewest) {
    std::string what = "SINEX version '";
    what += printed;
    what += "'; 1.00 to 2.10 can be read";
    return fail(ErrorCode::kUnsupported, std::move(what), lines_.where());
  }
  product_.source = lines_.name();
  product_.version = *version;
  product_.agency = line.text(11, 14);
  const auto created = line.instant(15);
  product_.data_agency = line.text(28, 31);
  if (!created || !line.span(32, product_.from, product_.until)) {
    return bad_head("the first line does not hold three instants");
  }
  product_.created = created->time;
  return ok();
}

Status SinexReader::keep(std::string_view line) {
  const std::string_view text = trim_right(line.substr(1));
  comment_bytes_ += text.size() + sizeof(std::string);
  if (comment_bytes_ > kMaxCommentBytes) {
    return too_large("more than 4 MB of comments");
  }
  auto& into =
      block_ == "FILE/COMMENT" ? product_.comments : product_.reference;
  into.emplace_back(text);
  return ok();
}

Status SinexReader::take_row(std::string_view line) {
  if (++rows_ > kMaxRows) {
    return too_large("more than " + std::to_string(kMaxRows) + " rows");
  }
  if (line[0] != ' ') {
    return bad("a line of no kind that SINEX files have");
  }
  std::string_view problem;
  if (kind_->site_row != nullptr) {
    if (options_.sites) {
      problem = (sites_.*kind_->site_row)(SinexLine(line));
    }
  } else if (kind_->offset_row != nullptr) {
    problem = (offsets_.*kind_->offset_row)(SinexLine(line));
  } else {
    return keep(line);
  }
  return problem.empty() ? ok() : Status(bad(std::string(problem)));
}

// "+SOLUTION/MATRIX_ESTIMATE L COVA": of the words behind the name the end of
// a block may have other ones, or none.
Status SinexReader::take_mark(std::string_view line) {
  std::string_view rest = line.substr(1);
  const std::string_view name = next_word(rest);
  const bool begins = line[0] == '+';
  if (begins ? !block_.empty() || name.empty() : name != block_) {
    return bad("a block begins in another or ends where it did not begin");
  }
  block_ = begins ? name : std::string_view();
  const auto* const found = std::find_if(
      std::begin(kKinds), std::end(kKinds), [this](const BlockKind& k) {
        return k.name == block_;
      });
  kind_ = found == std::end(kKinds) ? nullptr : found;
  return ok();
}

Status SinexReader::take_line(std::string_view line) {
  if (line.empty() || line[0] == '*') {
    return ok();
  }
  if (line[0] == '+' || line[0] == '-') {
    return take_mark(line);
  }
  if (kind_ == nullptr && !block_.empty()) {
    return ok();
  }
  if (trim(line).empty()) {
    return ok();
  }
  return block_.empty() ? Status(bad("text outside the blocks"))
                        : take_row(line);
}

Result<SinexProduct> SinexReader::read() {
  if (auto first = read_first(); !first) {
    return fail(std::move(first.error()));
  }
  for (;;) {
    const auto line = need_line();
    if (!line) {
      return fail(line.error());
    }
    if (line->starts_with("%ENDSNX") && trim_right(*line) == "%ENDSNX") {
      break;
    }
    if (auto taken = take_line(*line); !taken) {
      return fail(std::move(taken.error()));
    }
  }
  if (!block_.empty()) {
    std::string what = "the block ";
    what += block_;
    what += " has no end";
    return bad(std::move(what));
  }
  sites_.finish(product_);
  if (!offsets_.finish(product_)) {
    return too_large("more than " + std::to_string(SinexOffsets::kMaxAntennas) +
                     " antennas of satellites and sites");
  }
  if (auto end = expect_end(lines_, "%ENDSNX"); !end) {
    return fail(std::move(end.error()));
  }
  return std::move(product_);
}

}  // namespace

Result<SinexProduct> read_sinex(std::unique_ptr<ByteStream> stream,
                                SinexReaderOptions options) {
  return SinexReader(std::move(stream), options).read();
}

}  // namespace stillpoint::products
