#include <algorithm>
#include <array>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/core/text.h"
#include "stillpoint/products/earth_orientation_parts.h"
#include "stillpoint/products/fixed_text.h"
#include "stillpoint/products/sp3_fields.h"

namespace stillpoint::products {
namespace {

// Names without what centres write between their letters.
constexpr std::array kErpNames{ColumnName{"mjd", kMjd},
                               ColumnName{"xpole", kX},
                               ColumnName{"xp", kX},
                               ColumnName{"x", kX},
                               ColumnName{"ypole", kY},
                               ColumnName{"yp", kY},
                               ColumnName{"y", kY},
                               ColumnName{"ut1utc", kUt1},
                               ColumnName{"ut1tai", kUt1},
                               ColumnName{"lod", kLod},
                               ColumnName{"xrt", kXRate},
                               ColumnName{"yrt", kYRate},
                               ColumnName{"xsig", kXSigma},
                               ColumnName{"sx", kXSigma},
                               ColumnName{"ysig", kYSigma},
                               ColumnName{"sy", kYSigma},
                               ColumnName{"utsig", kUt1Sigma},
                               ColumnName{"sut", kUt1Sigma}};

std::string plain_name(std::string_view word) {
  std::string plain;
  for (const char c : word) {
    if (c >= 'A' && c <= 'Z') {
      plain += static_cast<char>(c - 'A' + 'a');
    } else if (c != '-' && c != '_') {
      plain += c;
    }
  }
  return plain;
}

std::vector<std::string_view> words_of(std::string_view line) {
  constexpr std::size_t kMost = 100;
  std::vector<std::string_view> words;
  while (words.size() < kMost) {
    const std::string_view word = next_word(line);
    if (word.empty()) {
      break;
    }
    words.push_back(word);
  }
  return words;
}

}  // namespace

Status EarthOrientationReader::take_words(std::string_view line) {
  constexpr double kAngle = 1e6, kTime = 1e7;  // units in one arcsec, second
  constexpr std::array<double, kItems> kUnits{
      1, kAngle, kAngle, kTime, kTime, kAngle, kAngle, kAngle, kAngle, kTime};
  const std::vector<std::string_view> words = words_of(line);
  OrientationValues values = no_values();
  for (std::size_t item = 0; item < kItems; ++item) {
    if (columns_[item] == kNoColumn) {
      continue;
    }
    const auto number = columns_[item] < words.size()
                            ? to_number(words[columns_[item]])
                            : std::nullopt;
    if (!number) {
      return bad("value " + std::to_string(columns_[item] + 1) +
                 " of the row is missing or is no number");
    }
    values[item] = *number / kUnits[item];
  }
  if (words.size() < column_count_) {
    std::string where = lines_.where();
    const auto more = next(line);
    if (more && !*more) {
      return fail(ErrorCode::kTruncated,
                  "the last row has fewer values than the table has columns",
                  std::move(where));
    }
    return fail(ErrorCode::kBadFormat,
                "the row has fewer values than the table has columns",
                std::move(where));
  }
  return store(values);
}

Status EarthOrientationReader::read_erp(std::string_view line) {
  std::string_view rest = line;
  next_word(rest);
  if (const std::string_view version = trim(rest); version != "2") {
    return fail(ErrorCode::kUnsupported,
                "Earth rotation parameters of version '" +
                    std::string(version.substr(0, 20)) + "'; 2 can be read",
                lines_.where());
  }
  product_.series = "IGS ERP 2";
  bool named = false;
  for (int header_lines = 0;;) {
    const auto more = next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      if (named) {
        return ok();
      }
      return fail(
          ErrorCode::kTruncated, "the file ends in its header", lines_.where());
    }
    std::string_view text = line;
    const std::string_view first = next_word(text);
    if (named && to_number(first)) {
      if (auto taken = take_words(line); !taken) {
        return taken;
      }
      continue;
    }
    if (!product_.rows.empty()) {
      return bad("the line is no row of numbers");
    }
    if (++header_lines > kMaxOrientationHeaderLines) {
      return bad_head("the header is too long");
    }
    if (plain_name(first) != "mjd") {
      continue;
    }
    std::vector<std::string> plain;
    for (const std::string_view word : words_of(line)) {
      plain.push_back(plain_name(word));
    }
    columns_ = find_columns({plain.begin(), plain.end()}, kErpNames);
    column_count_ = plain.size();
    if (std::find_if(plain.begin(), plain.end(), [](const std::string& name) {
          return name.starts_with("ut1r");
        }) != plain.end()) {
      return fail(ErrorCode::kUnsupported,
                  "UT1R, which lacks the tides of UT1",
                  lines_.where());
    }
    for (const OrientationItem item : {kX, kY, kUt1, kLod}) {
      if (columns_[item] == kNoColumn) {
        return bad_head("the table lacks pole, UT1-UTC or LOD");
      }
    }
    from_tai_ = plain[columns_[kUt1]] == "ut1tai";
    named = true;
  }
}

}  // namespace stillpoint::products
