#include "stillpoint/station/job_products.h"

#include <algorithm>
#include <array>
#include <set>

#include "stillpoint/core/text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

using fetch::Quality;
using Files = std::vector<const ShelfFile*>;

constexpr double kDayS = 86'400;
constexpr std::size_t kLineLetters = 10;   // AAAVPPPTTT
constexpr std::size_t kBeginLetters = 11;  // YYYYDDDHHMM
constexpr std::size_t kLengthLetters = 3;  // 01D
// Orbits are wanted so long before and after.
constexpr Duration kEdge{5 * 900.0};

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

std::string upper(std::string_view text) {
  std::string result(text);
  std::transform(result.begin(), result.end(), result.begin(), [](char c) {
    return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  });
  return result;
}

// In capitals, without folders and packing.
std::string bare_name(std::string_view path) {
  std::string name = upper(path.substr(path.rfind('/') + 1));
  for (const std::string_view packed :
       {".GZ", ".Z", ".BZ2", ".ZST", ".XZ", ".ZIP"}) {
    if (name.ends_with(packed)) {
      name.resize(name.size() - packed.size());
      break;
    }
  }
  return name;
}

std::optional<int> whole(std::string_view text) {
  if (text.empty() || !std::all_of(text.begin(), text.end(), is_digit)) {
    return std::nullopt;
  }
  const auto value = parse_int(text);
  return value ? std::optional(static_cast<int>(*value)) : std::nullopt;
}

std::optional<double> length_s(std::string_view text) {
  const auto count = whole(text.substr(0, 2));
  if (!count || text.size() != kLengthLetters) {
    return std::nullopt;
  }
  switch (text[2]) {
    case 'M':
      return *count * 60.0;
    case 'H':
      return *count * 3600.0;
    case 'D':
      return *count * kDayS;
    case 'W':
      return *count * 7 * kDayS;
    default:
      return std::nullopt;
  }
}

std::optional<GnssTime> begin_of(std::string_view text) {
  const auto year = whole(text.substr(0, 4)), day = whole(text.substr(4, 3)),
             hour = whole(text.substr(7, 2)), minute = whole(text.substr(9, 2));
  if (!year || !day || !hour || !minute || *day < 1 || *day > 366 ||
      *hour > 23 || *minute > 59) {
    return std::nullopt;
  }
  Calendar c;
  c.year = *year;
  c.month = 1;
  c.day = 1;
  const auto january = from_calendar(c, TimeScale::kGps);
  if (!january) {
    return std::nullopt;
  }
  return *january +
         Duration{(*day - 1) * kDayS + *hour * 3600.0 + *minute * 60.0};
}

std::optional<ShelfKind> kind_of_content(std::string_view content,
                                         std::string_view format) {
  if (content == "ORB" && format == "SP3") {
    return ShelfKind::kOrbits;
  }
  if (content == "CLK" && format == "CLK") {
    return ShelfKind::kClocks;
  }
  if (format == "BIA") {
    return ShelfKind::kBiases;
  }
  if (content == "ERP" && format == "ERP") {
    return ShelfKind::kEarth;
  }
  return std::nullopt;
}

std::vector<std::string_view> parts_of(std::string_view name) {
  std::vector<std::string_view> parts;
  for (;;) {
    const std::size_t end = name.find_first_of("_.");
    parts.push_back(name.substr(0, end));
    if (end == std::string_view::npos) {
      return parts;
    }
    name.remove_prefix(end + 1);
  }
}

// AAAVPPPTTT_YYYYDDDHHMM_LEN_SMP_CNT.FMT
std::optional<ShelfFile> long_name(std::string_view name) {
  const auto parts = parts_of(name);
  if (parts.size() != 6 || parts[0].size() != kLineLetters ||
      parts[1].size() != kBeginLetters || !is_digit(parts[0][3])) {
    return std::nullopt;
  }
  const auto kind = kind_of_content(parts[4], parts[5]);
  const auto first = begin_of(parts[1]);
  const auto covered_s = length_s(parts[2]);
  if (!kind || !first || !covered_s) {
    return std::nullopt;
  }
  ShelfFile file;
  file.kind = *kind;
  file.line = parts[0];
  file.first = *first;
  file.end = *first + Duration{*covered_s};
  return file;
}

// aaawwwwd.sp3
std::optional<ShelfFile> short_name(std::string_view name) {
  constexpr std::size_t kLetters = 8;
  if (name.size() < kLetters + 4 || name[kLetters] != '.') {
    return std::nullopt;
  }
  const auto week = whole(name.substr(3, 4)), day = whole(name.substr(7, 1));
  const std::string_view format = name.substr(kLetters + 1);
  ShelfFile file;
  if (format == "SP3" || format == "EPH") {
    file.kind = ShelfKind::kOrbits;
  } else if (format.starts_with("CLK")) {
    file.kind = ShelfKind::kClocks;
  } else if (format == "BIA") {
    file.kind = ShelfKind::kBiases;
  } else if (format == "ERP") {
    file.kind = ShelfKind::kEarth;
  } else {
    return std::nullopt;
  }
  if (!week || !day || *day > 7) {
    return std::nullopt;
  }
  const bool whole_week = *day == 7;
  file.line = name.substr(0, 3);
  for (char& c : file.line) {
    c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  file.first = GnssTime::from_gps_week(*week, whole_week ? 0 : *day * kDayS);
  file.end = file.first + Duration{whole_week ? 7 * kDayS : kDayS};
  return file;
}

// The files that cover [start, end), in time order; empty where a part of it
// is left open. Of files that overlap the one that reaches farthest, which
// begins latest.
Files covering(const Files& files, GnssTime start, GnssTime end) {
  Files chosen;
  GnssTime at = start;
  while (at < end) {
    const ShelfFile* best = nullptr;
    for (const ShelfFile* file : files) {
      if (file->first > at || file->end <= at) {
        continue;
      }
      const auto rank = [&](const ShelfFile* f) {
        return std::pair(std::min(f->end, end), f->first);
      };
      if (best == nullptr || rank(file) > rank(best)) {
        best = file;
      }
    }
    if (best == nullptr) {
      return {};
    }
    chosen.push_back(best);
    at = best->end;
  }
  return chosen;
}

std::vector<std::string> paths_of(const Files& files) {
  std::vector<std::string> paths;
  paths.reserve(files.size());
  for (const ShelfFile* file : files) {
    paths.push_back(file->path);
  }
  return paths;
}

// With the edges where they are there too.
Files with_edges(const Files& all, Files chosen, GnssTime start, GnssTime end) {
  Files before = covering(all, start - kEdge, start);
  Files after = covering(all, end, end + kEdge);
  before.insert(before.end(), chosen.begin(), chosen.end());
  before.insert(before.end(), after.begin(), after.end());
  Files result;
  for (const ShelfFile* file : before) {
    if (std::find(result.begin(), result.end(), file) == result.end()) {
      result.push_back(file);
    }
  }
  return result;
}

// Known qualities first, in their order.
int rank_of(const std::optional<Quality>& quality) {
  return quality ? static_cast<int>(*quality)
                 : static_cast<int>(fetch::kQualities);
}

}  // namespace

std::optional<Quality> line_quality(std::string_view line) {
  if (line.size() == kLineLetters) {
    const std::string_view type = line.substr(7);
    for (const Quality quality :
         {Quality::kFinal, Quality::kRapid, Quality::kUltra}) {
      if (type == fetch::quality_letters(quality)) {
        return quality;
      }
    }
    return std::nullopt;
  }
  if (line.size() != 3) {
    return std::nullopt;
  }
  return line == "igr"   ? Quality::kRapid
         : line == "igu" ? Quality::kUltra
                         : Quality::kFinal;
}

std::optional<ShelfFile> shelf_file(const std::string& path) {
  const std::string name = bare_name(path);
  std::optional<ShelfFile> file;
  if (name.ends_with(".ATX") || name.ends_with(".BLQ")) {
    file.emplace();
    file->kind =
        name.ends_with(".ATX") ? ShelfKind::kAntennas : ShelfKind::kLoading;
  } else {
    file = long_name(name);
    file = file ? file : short_name(name);
  }
  if (file) {
    file->path = path;
    file->quality = line_quality(file->line);
  }
  return file;
}

std::string product_line(std::string_view path) {
  const auto file = shelf_file(std::string(path));
  return file ? file->line : std::string();
}

ProductShelf::ProductShelf(const std::vector<std::string>& paths) {
  std::vector<std::string> sorted = paths;
  std::sort(sorted.begin(), sorted.end());
  for (const std::string& path : sorted) {
    if (auto file = shelf_file(path)) {
      files_.push_back(std::move(*file));
    }
  }
}

std::vector<const ShelfFile*> ProductShelf::of(ShelfKind kind,
                                               std::string_view line) const {
  Files found;
  for (const ShelfFile& file : files_) {
    if (file.kind == kind && (line.empty() || file.line == line)) {
      found.push_back(&file);
    }
  }
  return found;
}

std::string ProductShelf::timeless(ShelfKind kind) const {
  const Files found = of(kind, "");
  return found.empty() ? std::string() : found.front()->path;
}

std::optional<ProductSet> ProductShelf::choose(
    GnssTime start,
    GnssTime end,
    const std::vector<std::string>& not_these) const {
  std::set<std::pair<int, std::string>> lines;
  for (const ShelfFile* file : of(ShelfKind::kOrbits, "")) {
    if (std::find(not_these.begin(), not_these.end(), file->line) ==
        not_these.end()) {
      lines.insert({rank_of(file->quality), file->line});
    }
  }
  for (const auto& [rank, line] : lines) {
    const Files all = of(ShelfKind::kOrbits, line);
    const Files orbits = covering(all, start, end);
    const Files clocks = covering(of(ShelfKind::kClocks, line), start, end);
    if (orbits.empty() || clocks.empty()) {
      continue;
    }
    ProductSet set;
    set.line = line;
    set.quality = line_quality(line);
    set.orbits = paths_of(with_edges(all, orbits, start, end));
    set.clocks =
        paths_of(with_edges(of(ShelfKind::kClocks, line), clocks, start, end));
    set.biases = paths_of(covering(of(ShelfKind::kBiases, line), start, end));
    const GnssTime middle = start + Duration{(end - start).s / 2};
    const GnssTime behind = middle + Duration{1};
    Files earth = covering(of(ShelfKind::kEarth, line), middle, behind);
    if (earth.empty()) {
      earth = covering(of(ShelfKind::kEarth, ""), middle, behind);
    }
    set.earth = earth.empty() ? std::string() : earth.front()->path;
    set.antennas = timeless(ShelfKind::kAntennas);
    set.loading = timeless(ShelfKind::kLoading);
    return set;
  }
  return std::nullopt;
}

}  // namespace stillpoint::station
