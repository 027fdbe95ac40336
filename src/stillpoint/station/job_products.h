// Product files that lie in a folder, known by their names: which of them a
// span of time needs. Pure; who lists the folder hands in the paths.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/fetch/product_line.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::station {

enum class ShelfKind : std::uint8_t {
  kOrbits,
  kClocks,
  kBiases,
  kEarth,
  kAntennas,
  kLoading,
};

// What a file's name says.
struct ShelfFile {
  std::string path;
  ShelfKind kind = ShelfKind::kOrbits;
  // Whose estimate it is: "AAA0OPSFIN" of long names, "igs" of short ones.
  // Empty for antennas and loading, which belong to no day.
  std::string line;
  std::optional<fetch::Quality> quality;
  GnssTime first, end;  // that it covers
};

// Long names as in stillpoint/fetch/file_name.h, their content ORB, CLK, OSB
// (DCB, ABS), ERP; short ones such as igs21064.sp3, .clk, .erp (agency, week,
// day; week files end in 7); *.atx; *.blq. Packed or not, in any case of
// letters.
//
//   source   long names: see there. Short names: common practice, no source;
//            the second and third letter ("igr" rapid, "igu" ultra-rapid) from
//            memory
//   returns  nothing for any other name
std::optional<ShelfFile> shelf_file(const std::string& path);

// Whose product it is, by the name of an orbit or clock file; empty where it
// does not say.
std::string product_line(std::string_view path);
// "final", "rapid", "ultra" of such a line.
std::optional<fetch::Quality> line_quality(std::string_view line);

// Files that go together, for one span.
struct ProductSet {
  std::string line;
  std::optional<fetch::Quality> quality;
  std::vector<std::string> orbits, clocks, biases;
  std::string earth, antennas, loading;  // one file each, or empty
};

class ProductShelf {
 public:
  ProductShelf() = default;
  explicit ProductShelf(const std::vector<std::string>& paths);

  [[nodiscard]] bool empty() const { return files_.empty(); }

  // Orbits and clocks of one line that cover [start, end), the best quality
  // first; biases and Earth rotation of the same line where they are there,
  // Earth rotation else of any. Of orbits also the files before and after,
  // since a polynomial is better inside than at its end.
  //
  //   not_these  lines that are passed over
  //   returns    nothing where no line covers the span
  [[nodiscard]] std::optional<ProductSet> choose(
      GnssTime start,
      GnssTime end,
      const std::vector<std::string>& not_these = {}) const;

  // A file that belongs to no day; empty where there is none.
  [[nodiscard]] std::string timeless(ShelfKind kind) const;

 private:
  [[nodiscard]] std::vector<const ShelfFile*> of(ShelfKind kind,
                                                 std::string_view line) const;

  std::vector<ShelfFile> files_;
};

}  // namespace stillpoint::station
