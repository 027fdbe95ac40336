// Counts epochs and satellites of a RINEX observation file, plain or packed:
//   read_rinex FILE
// Without a file it reads a few invented lines.
#include <cstdio>
#include <set>
#include <string_view>

#include "stillpoint/rinex/observation_reader.h"

namespace {

constexpr std::string_view kInvented =
    "     3.05           OBSERVATION DATA    G                   "
    "RINEX VERSION / TYPE\n"
    "LHOL                                                        "
    "MARKER NAME\n"
    "G    2 C1C L1C                                              "
    "SYS / # / OBS TYPES\n"
    "  2024     6     5    12     0    0.0000000     GPS         "
    "TIME OF FIRST OBS\n"
    "                                                            "
    "END OF HEADER\n"
    "> 2024 06 05 12 00  0.0000000  0  2\n"
    "G05  21543210.123   113209876.543\n"
    "G12  23456789.012   123265432.101\n"
    "> 2024 06 05 12 00 30.0000000  0  3\n"
    "G05  21540000.456   113193008.765\n"
    "G12  23460000.789   123282310.432\n"
    "G25  22001234.567   115617000.111\n";

int complain(const stillpoint::Error& error) {
  std::fprintf(stderr, "%s\n", error.text().c_str());
  return 3;
}

}  // namespace

int main(int argc, char** argv) {
  using namespace stillpoint;
  auto stream = argc > 1 ? open_unpacked(argv[1])
                         : Result<std::unique_ptr<ByteStream>>(
                               memory_stream(kInvented, "invented"));
  if (!stream) {
    return complain(stream.error());
  }
  auto reader = rinex::ObservationReader::open(std::move(*stream));
  if (!reader) {
    return complain(reader.error());
  }
  std::set<SatId> seen;
  std::size_t epochs = 0;
  Epoch epoch;  // its memory is used again and again
  for (auto more = reader->next(epoch);; more = reader->next(epoch)) {
    if (!more) {
      return complain(more.error());
    }
    if (!*more) {
      break;
    }
    ++epochs;
    for (const SatRows& rows : epoch.satellites) {
      seen.insert(rows.sat);
    }
  }
  std::printf("%s: %zu epochs, %zu satellites, %zu damaged places\n",
              reader->header().marker_name.c_str(),
              epochs,
              seen.size(),
              reader->problem_count());
  return epochs > 0 ? 0 : 1;
}
