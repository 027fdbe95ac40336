// Where product files may come from and which there are, as an owner's
// archives.toml lists them (stillpoint/fetch/archives_toml.h).
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace stillpoint::fetch {

enum class ProductKind : std::uint8_t {
  kOrbits,
  kClocks,
  kBiases,
  kEarth,  // Earth rotation
  kAntennas,
  kNavigation,
  kIonosphere,
};
inline constexpr std::size_t kProductKinds = 7;

// In the order in which they are wanted.
enum class Quality : std::uint8_t { kFinal, kRapid, kUltra };
inline constexpr std::size_t kQualities = 3;

// "orbits", as in archives.toml.
const char* kind_word(ProductKind kind);
// "final", "rapid" or "ultra", as in archives.toml.
const char* quality_word(Quality quality);
// "final", "rapid", "ultra-rapid", as in messages.
const char* quality_name(Quality quality);
// "FIN", "RAP" or "ULT", as in the long file names of the IGS.
const char* quality_letters(Quality quality);

// Orbits, clocks and biases describe one estimate together: they are only ever
// taken from one agency, campaign and quality.
bool goes_together(ProductKind kind);

// How long after the end of its data a product usually comes [s]: final 13
// days, rapid 17 h, ultra-rapid 3 h (common practice, no source).
double usual_latency_s(Quality quality);

// A place that files are asked for at.
struct Archive {
  std::string name;
  // With {file} and any of the placeholders of a file name
  // (stillpoint/fetch/file_name.h); https, ftp or http.
  std::string url_template;
  // What the archive wants to be named for its data; may be empty.
  std::string attribution;
};

// A name and a secret for one host, sent over https only.
struct Login {
  std::string host, user;
  std::string password_file, password_env;  // one of the two
};

// Files of one kind from one agency: one name in time steps.
struct ProductLine {
  ProductKind kind = ProductKind::kOrbits;
  Quality quality = Quality::kFinal;
  std::string agency;    // 3 capitals or digits
  std::string campaign;  // the same
  std::string file_template;
  double span_s = 0;      // that a file covers; 0: no time, e.g. antennas
  double every_s = 0;     // from file to file, at most span_s
  double sample_s = 0;    // the last sample stands this long before the end
  double observed_s = 0;  // the part of span_s that is no prediction
  double latency_s = 0;   // from the end of that part to the publication
};

struct ArchiveList {
  std::vector<Archive> archives;      // asked in this order
  std::vector<ProductLine> products;  // of one quality asked in this order
  std::vector<Login> logins;
  std::string proxy;  // of the network, e.g. http://proxy:3128; may be empty
};

}  // namespace stillpoint::fetch
