#include "stillpoint/products/antex_reader.h"

#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/products/antex_parser.h"
#include "stillpoint/products/fixed_text.h"
#include "stillpoint/products/sp3_fields.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kLabel = 60;

}  // namespace

Result<bool> AntexReader::next(Line& line) {
  auto more = lines_.next(line.text);
  if (more && *more) {
    line.label = column(line.text, kLabel, kLabel + 20);
  }
  return more;
}

Status AntexReader::need(Line& line) {
  const auto more = next(line);
  if (!more) {
    return fail(more.error());
  }
  if (!*more) {
    return fail(ErrorCode::kTruncated,
                "the file ends inside its header or an antenna",
                lines_.where(),
                "Fetch the file again; a part of it is not used.");
  }
  return ok();
}

Status AntexReader::count_comment() {
  constexpr std::size_t kMost = 10'000;
  if (++comments_ > kMost) {
    return fail(ErrorCode::kTooLarge, "too many comments", lines_.where());
  }
  return ok();
}

Status AntexReader::read_head() {
  Line line;
  if (auto more = need(line); !more) {
    return more;
  }
  if (line.label != "ANTEX VERSION / SYST") {
    return bad_head("not an ANTEX file: the first line is not ANTEX VERSION");
  }
  const auto version = to_number(column(line.text, 0, 8));
  constexpr double kOldest = 0.95, kNewest = 1.45;
  if (!version || *version < kOldest || *version > kNewest) {
    return fail(ErrorCode::kUnsupported,
                "ANTEX version '" + std::string(column(line.text, 0, 8)) +
                    "'; 1.0 to 1.4 can be read",
                lines_.where());
  }
  product_.source = lines_.name();
  product_.version = *version;
  const std::string_view system = column(line.text, 20, 21);
  product_.system = system.empty() ? 'M' : system[0];
  bool typed = false;
  for (;;) {
    if (auto more = need(line); !more) {
      return more;
    }
    if (line.label == "PCV TYPE / REFANT") {
      const std::string_view type = column(line.text, 0, 1);
      if (type != "A" && type != "R") {
        return bad_head("PCV TYPE is neither A nor R");
      }
      product_.absolute = type == "A";
      product_.reference_type = column(line.text, 20, 40);
      product_.reference_serial = column(line.text, 40, kLabel);
      typed = true;
    } else if (line.label == "COMMENT") {
      if (auto counted = count_comment(); !counted) {
        return counted;
      }
      product_.comments.emplace_back(trim_right(columns(line.text, 0, kLabel)));
    } else if (line.label == "END OF HEADER") {
      return typed ? ok() : Status(bad_head("PCV TYPE is missing"));
    } else {
      return bad_head("a line of no kind that the header has");
    }
  }
}

Result<AntennaProduct> AntexReader::read() {
  if (auto head = read_head(); !head) {
    return fail(std::move(head.error()));
  }
  for (;;) {
    Line line;
    const auto more = next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      return std::move(product_);
    }
    if (line.label == "START OF ANTENNA") {
      if (auto antenna = read_antenna(); !antenna) {
        return fail(std::move(antenna.error()));
      }
    } else if (line.label != "COMMENT" && !trim(line.text).empty()) {
      return bad("text outside the antennas");
    }
  }
}

Result<AntennaProduct> read_antex(std::unique_ptr<ByteStream> stream,
                                  AntexReaderOptions options) {
  return AntexReader(std::move(stream), std::move(options)).read();
}

}  // namespace stillpoint::products
