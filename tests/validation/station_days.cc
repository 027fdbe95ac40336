#include "tests/validation/station_days.h"

#include <cmath>
#include <numbers>
#include <set>
#include <utility>

#include "stillpoint/aids/precise_orbits.h"
#include "stillpoint/datum/plate_motion.h"
#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/math/robust.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/products/sp3.h"
#include "stillpoint/rinex/navigation_reader.h"
#include "stillpoint/rinex/observation_reader.h"
#include "stillpoint/time/scales.h"
#include "tests/support/test_data.h"

namespace stillpoint::test {
namespace {

constexpr const char* kEsbcNav =
    "esbc-2020-177/ESBC00DNK_R_20201770000_01D_MN.rnx.gz";
constexpr const char* kCodOrbits =
    "esbc-2020-177/COD0MGXFIN_20201770000_01D_05M_ORB.SP3.gz";

const StationDay kEsbc{
    .name = "ESBC",
    .observations = "esbc-2020-177/ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz",
    .navigation = {kEsbcNav},
    .published_m = {3582104.7657, 532590.1785, 5232755.139},
    .truth_sigma_m = 0.008,
    .source =
        "national agency's ITRF2014 coordinates at 2015.0 and 2022.93, "
        "interpolated to the day"};
const StationDay kWtzr{
    .name = "WTZR",
    .observations =
        "wettzell-2020-177/"
        "WTZR00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz",
    .navigation = {kEsbcNav},
    .published_m = {4075580.296, 931854.061, 4801568.281},
    .truth_sigma_m = 0.005,
    .source =
        "IGS daily solution of 2022-075 and station list of the WUM "
        "clock product of 2024-328, moved to the day"};
const StationDay kUsno{
    .name = "USNO",
    .observations = "days/usno0200.05o.gz",
    .navigation = {"days/brdc0200.05n.gz"},
    .published_m = {1112189.9031, -4842955.0319, 3985352.2376},
    .published_year = 1997.0,
    .plate = "NOAM",
    .truth_sigma_m = 0.05,
    .source = "header of the observation file, ITRF97 at 1997.0"};
const StationDay kAjac{
    .name = "AJAC",
    .observations = "days/AJAC00FRA_R_20242090000_01D_30S_MO.crx.gz",
    .navigation = {"days/GRAS00FRA_R_20242090000_01D_EN.rnx.gz"},
    .published_m = {4696989.142, 723994.846, 4239678.761},
    .published_year = 2024.896,
    .plate = "EURA",
    .truth_sigma_m = 0.005,
    .source = "station list of the WUM clock product of 2024-328, IGS20"};
const StationDay kNya1{
    .name = "NYA1",
    .observations = "days/NYA100NOR_S_20241270000_01D_30S_MO.crx.gz",
    .navigation = {"days/NYA100NOR_S_20241270000_01D_EN.rnx.gz",
                   "days/NYA100NOR_S_20241270000_01D_GN.rnx.gz"},
    .published_m = {1202433.559, 252632.438, 6237772.840},
    .published_year = 2024.896,
    .plate = "EURA",
    .uplift_m_per_year = 0.0085,
    .truth_sigma_m = 0.005,
    .source = "station list of the WUM clock product of 2024-328, IGS20"};

StationDay with_orbits(StationDay day, std::vector<std::string> orbits) {
  day.orbits = std::move(orbits);
  return day;
}

template <class Read>
auto read_file(const std::string& relative, Read read)
    -> decltype(read(std::unique_ptr<ByteStream>())) {
  auto stream = open_unpacked(data_path(relative));
  if (!stream) {
    return fail(std::move(stream.error()));
  }
  return read(std::move(*stream));
}

// The published coordinate at the day's middle.
Ecef truth_of(const StationDay& day, GnssTime t) {
  if (day.plate.empty()) {
    return day.published_m;
  }
  const auto plate = find_plate(PlateModel::kItrf2014, day.plate);
  const double years = decimal_year(t) - day.published_year;
  const Ecef moved = moved_by(
      day.published_m, velocity_m_per_year(*plate, day.published_m), years);
  return from_enu({0, 0, years * day.uplift_m_per_year}, moved);
}

struct Sources {
  BroadcastOrbits broadcast;
  PreciseOrbits precise;
};

bool load(const StationDay& day, Sources& sources, std::string& failure) {
  for (const std::string& file : day.navigation) {
    auto nav = read_file(file, rinex::read_navigation);
    if (!nav) {
      failure = nav.error().text();
      return false;
    }
    sources.broadcast.add(nav->data);
  }
  for (const std::string& file : day.orbits) {
    auto product = read_file(file, products::read_sp3);
    if (!product) {
      failure = product.error().text();
      return false;
    }
    if (auto added = sources.precise.add(std::move(*product)); !added) {
      failure = added.error().text();
      return false;
    }
  }
  return true;
}

std::vector<DayRun::Piece> against(
    const std::vector<solve::PiecePosition>& pieces,
    const Ecef& truth,
    const Enu& antenna) {
  std::vector<DayRun::Piece> out;
  out.reserve(pieces.size());
  for (const auto& piece : pieces) {
    const Enu d = to_enu(piece.phase_centre, truth);
    out.push_back(
        {{d.e_m - antenna.e_m, d.n_m - antenna.n_m, d.u_m - antenna.u_m},
         piece.sigma_enu_m});
  }
  return out;
}

}  // namespace

const std::vector<StationDay>& broadcast_days() {
  static const std::vector<StationDay> days{kEsbc, kAjac, kNya1, kUsno, kWtzr};
  return days;
}

const std::vector<StationDay>& precise_days() {
  static const std::vector<StationDay> days{
      with_orbits(kEsbc, {kCodOrbits}),
      with_orbits(kUsno,
                  {"days/nga13063.apc.gz",
                   "days/nga13064.apc.gz",
                   "days/nga13065.apc.gz"}),
      with_orbits(kWtzr, {kCodOrbits})};
  return days;
}

DayRun run(const StationDay& day, const solve::TermSet& without) {
  DayRun result;
  result.available = !data_path(day.observations).empty();
  if (!result.available) {
    return result;
  }
  Sources sources;
  if (!load(day, sources, result.failure)) {
    return result;
  }
  auto reader = read_file(day.observations, rinex::ObservationReader::open);
  if (!reader) {
    result.failure = reader.error().text();
    return result;
  }
  result.header = reader->header();
  solve::CodeOptions options;
  options.without = without;
  options.antenna_delta_enu_m = result.header.antenna_delta_enu_m;
  options.header_position_m = result.header.approx_position_m;
  options.ionosphere = sources.broadcast.ionosphere();
  for (const auto& [sat, channel] : result.header.glonass_channels) {
    options.glonass_channel[sat.number] = channel;
  }
  const OrbitSource* orbits = &sources.broadcast;
  if (!day.orbits.empty()) {
    orbits = &sources.precise;
  }
  solve::CodeSolver solver(options, *orbits);
  Epoch epoch;
  std::set<SatId> seen;
  for (;;) {
    const auto more = reader->next(epoch);
    if (!more) {
      result.failure = more.error().text();
      return result;
    }
    if (!*more) {
      break;
    }
    for (const SatRows& rows : epoch.satellites) {
      seen.insert(rows.sat);
    }
    solver.add(epoch);
  }
  result.satellites_seen = seen.size();
  result.problems = reader->problems().size();
  result.solution = solver.finish();
  if (!result.solution.position) {
    result.failure = result.solution.why;
    return result;
  }
  const Ecef truth = truth_of(day, result.solution.position->epoch);
  result.difference_m = to_enu(result.solution.position->ecef, truth);
  const Enu& antenna = options.antenna_delta_enu_m;
  result.epochs = against(solver.epoch_positions(), truth, antenna);
  result.hours = against(solver.piece_positions(3600), truth, antenna);
  return result;
}

std::array<Share, 3> shares(const std::vector<DayRun::Piece>& pieces) {
  std::array<Share, 3> out;
  for (const auto& piece : pieces) {
    const std::array<double, 3> d{
        piece.difference_m.e_m, piece.difference_m.n_m, piece.difference_m.u_m};
    for (std::size_t i = 0; i < 3; ++i) {
      ++out[i].n;
      out[i].inside_one += std::abs(d[i]) <= piece.sigma_m[i] ? 1 : 0;
      out[i].inside_two += std::abs(d[i]) <= 2 * piece.sigma_m[i] ? 1 : 0;
    }
  }
  return out;
}

double median_3d_m(const std::vector<DayRun::Piece>& pieces) {
  std::vector<double> lengths;
  lengths.reserve(pieces.size());
  for (const auto& piece : pieces) {
    lengths.push_back(std::hypot(piece.difference_m.e_m,
                                 piece.difference_m.n_m,
                                 piece.difference_m.u_m));
  }
  return math::median(std::move(lengths));
}

}  // namespace stillpoint::test
