#include "stillpoint/products/clock_writer.h"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/products/clock_header.h"
#include "stillpoint/products/fixed_text.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kLabel = 65;
constexpr std::size_t kName = 9;
constexpr int kDigits = 12;
constexpr std::size_t kValueWidth = 19;

const char* scale_name(TimeScale scale) {
  switch (scale) {
    case TimeScale::kGps:
      return "GPS";
    case TimeScale::kGalileo:
      return "GAL";
    case TimeScale::kBeidou:
      return "BDT";
    case TimeScale::kQzss:
      return "QZS";
    case TimeScale::kGlonass:
      return "GLO";
    case TimeScale::kUtc:
      return "UTC";
    case TimeScale::kTai:
      return "TAI";
  }
  return "GPS";
}

void put_labelled(LineWriter& out, FixedLine line, std::string_view label) {
  line.column(kLabel).text(label, 20);
  out.put(line);
}

// "2024 11 23  0  0  0.000000".
void add_epoch(FixedLine& line, GnssTime t, TimeScale scale) {
  // Rounded to the printed microsecond first, so that no 60.000000 comes out.
  constexpr std::int64_t kMicrosecond = 1000;
  const std::int64_t whole =
      (t.ns() + (t.ns() < 0 ? -1 : 1) * kMicrosecond / 2) / kMicrosecond;
  const Calendar c =
      to_calendar(GnssTime::from_ns(whole * kMicrosecond), scale);
  line.integer(c.year, 4)
      .integer(c.month, 3)
      .integer(c.day, 3)
      .integer(c.hour, 3)
      .integer(c.minute, 3)
      .fixed(c.second, 10, 6);
}

char system_of(const std::vector<const ClockSeries*>& series) {
  char letter = 0;
  for (const ClockSeries* s : series) {
    if (s->satellite) {
      const char own = system_letter(s->satellite->system);
      letter = letter == 0 || letter == own ? own : 'M';
    }
  }
  return letter == 0 ? 'M' : letter;
}

void put_applied(LineWriter& out,
                 const std::vector<AppliedCorrection>& rows,
                 std::string_view label) {
  for (const AppliedCorrection& row : rows) {
    FixedLine line;
    const char letter = system_letter(row.system);
    line.text({&letter, 1}, 1).blanks(1).text(row.program, 17).column(22);
    put_labelled(out, line.text(row.source, 43), label);
  }
}

void put_stations(LineWriter& out, const ClockProduct& product) {
  if (!product.frame_label.empty() || !product.stations.empty()) {
    FixedLine line;
    line.integer(static_cast<std::int64_t>(product.stations.size()), 6);
    put_labelled(out,
                 line.blanks(4).text(product.frame_label, 50),
                 "# OF SOLN STA / TRF");
  }
  for (const ClockStation& station : product.stations) {
    FixedLine line;
    line.text(station.name, kName).blanks(1).text(station.id, 20);
    const Ecef& p = station.position_m;
    if (std::isfinite(p.x_m + p.y_m + p.z_m)) {
      line.fixed(1e3 * p.x_m, 11, 0)
          .fixed(1e3 * p.y_m, 12, 0)
          .fixed(1e3 * p.z_m, 12, 0);
    }
    put_labelled(out, line, "SOLN STA NAME / NUM");
  }
}

void put_satellites(LineWriter& out,
                    const std::vector<const ClockSeries*>& series) {
  std::vector<std::string_view> names;
  for (const ClockSeries* s : series) {
    if (s->satellite) {
      names.push_back(s->name);
    }
  }
  put_labelled(out,
               FixedLine().integer(static_cast<std::int64_t>(names.size()), 6),
               "# OF SOLN SATS");
  constexpr std::size_t kPerLine = 16;
  for (std::size_t i = 0; i < names.size(); i += kPerLine) {
    FixedLine line;
    for (std::size_t k = i; k < std::min(i + kPerLine, names.size()); ++k) {
      line.text(names[k], 4);
    }
    put_labelled(out, line, "PRN LIST");
  }
}

void put_comments(LineWriter& out, const ClockProduct& product) {
  for (const std::string& comment : product.comments) {
    put_labelled(out, FixedLine().text(comment, kLabel), "COMMENT");
  }
  for (const WideLaneBias& bias : product.wide_lane) {
    FixedLine line;
    line.text("WL", 3).text(bias.sat.text(), 4);
    add_epoch(line, bias.at, product.scale);
    const char bands[] = {'0', bias.first_band, '0', bias.second_band};
    line.integer(1, 3)
        .scientific(bias.bias_cyc, 16, 7)
        .blanks(2)
        .text({bands, sizeof bands}, 4);
    put_labelled(out, line, "COMMENT");
  }
}

void put_head(LineWriter& out,
              const ClockProduct& product,
              const std::vector<const ClockSeries*>& series) {
  const char letter = system_of(series);
  put_labelled(out,
               FixedLine().text("3.04", 21).text("C", 21).text({&letter, 1}, 1),
               "RINEX VERSION / TYPE");
  put_labelled(out,
               FixedLine()
                   .text(product.program, 20)
                   .column(21)
                   .text(product.run_by, 20)
                   .column(42)
                   .text(product.date, 23),
               "PGM / RUN BY / DATE");
  put_labelled(out,
               FixedLine().blanks(3).text(scale_name(product.scale), 3),
               "TIME SYSTEM ID");
  put_comments(out, product);
  if (product.leap_seconds) {
    put_labelled(
        out, FixedLine().integer(*product.leap_seconds, 6), "LEAP SECONDS");
  }
  put_applied(out, product.code_biases, "SYS / DCBS APPLIED");
  put_applied(out, product.phase_centres, "SYS / PCVS APPLIED");
  const auto is_satellite = [](const ClockSeries* s) {
    return s->satellite.has_value();
  };
  const bool satellites =
      std::any_of(series.begin(), series.end(), is_satellite);
  const bool stations =
      !std::all_of(series.begin(), series.end(), is_satellite);
  FixedLine types;
  types.integer((satellites ? 1 : 0) + (stations ? 1 : 0), 6);
  if (stations) {
    types.blanks(4).text("AR", 2);
  }
  if (satellites) {
    types.blanks(4).text("AS", 2);
  }
  put_labelled(out, types, "# / TYPES OF DATA");
  put_labelled(out,
               FixedLine()
                   .text(product.analysis_centre, 3)
                   .blanks(2)
                   .text(product.analysis_name, 55),
               "ANALYSIS CENTER");
  if (!product.references.empty()) {
    put_labelled(out,
                 FixedLine().integer(
                     static_cast<std::int64_t>(product.references.size()), 6),
                 "# OF CLK REF");
  }
  for (const ReferenceClock& clock : product.references) {
    FixedLine line;
    line.text(clock.name, kName).blanks(1).text(clock.id, 20).column(40);
    if (clock.offset_s) {
      line.fraction(*clock.offset_s, kValueWidth, kDigits);
    }
    put_labelled(out, line, "ANALYSIS CLK REF");
  }
  put_stations(out, product);
  if (satellites) {
    put_satellites(out, series);
  }
  put_labelled(out, FixedLine(), "END OF HEADER");
}

// Values of one record in the order of the format.
std::vector<double> values_of(const ClockSample& sample,
                              const ClockRate* rate) {
  std::vector<double> values{sample.clock_s};
  if (!std::isnan(sample.sigma_s)) {
    values.push_back(static_cast<double>(sample.sigma_s));
  }
  if (rate != nullptr) {
    // A missing one in the middle cannot be said; 0 stands for it.
    values.resize(2);
    for (const double v : {rate->rate,
                           rate->rate_sigma,
                           rate->acceleration_per_s,
                           rate->acceleration_sigma_per_s}) {
      if (std::isnan(v)) {
        break;
      }
      values.push_back(v);
    }
  }
  return values;
}

void put_record(LineWriter& out,
                const ClockSeries& series,
                std::string_view epoch,
                const std::vector<double>& values) {
  FixedLine line;
  line.text(series.satellite ? "AS" : "AR", 3).text(series.name, kName);
  line.blanks(1).text(epoch, 26);
  line.integer(static_cast<std::int64_t>(values.size()), 3).blanks(1);
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (i == 2) {
      out.put(line);
      line = FixedLine().blanks(1);
    }
    line.blanks(2).fraction(values[i], kValueWidth, kDigits);
  }
  out.put(line);
}

struct Cursor {
  std::size_t sample = 0, rate = 0;
};

void put_epochs(LineWriter& out,
                const ClockProduct& product,
                const std::vector<const ClockSeries*>& series) {
  std::vector<Cursor> cursors(series.size());
  for (std::size_t e = 0; e < product.epochs.size(); ++e) {
    FixedLine epoch;
    add_epoch(epoch, product.epochs[e], product.scale);
    for (const bool satellites : {false, true}) {
      for (std::size_t i = 0; i < series.size(); ++i) {
        const ClockSeries& s = *series[i];
        Cursor& at = cursors[i];
        if (s.satellite.has_value() != satellites ||
            at.sample >= s.samples.size() || s.samples[at.sample].epoch != e) {
          continue;
        }
        const bool has_rate =
            at.rate < s.rates.size() && s.rates[at.rate].sample == at.sample;
        put_record(out,
                   s,
                   epoch.view(),
                   values_of(s.samples[at.sample],
                             has_rate ? &s.rates[at.rate] : nullptr));
        ++at.sample;
        at.rate += has_rate ? 1U : 0U;
      }
    }
  }
  for (std::size_t i = 0; i < series.size(); ++i) {
    STILLPOINT_CHECK(cursors[i].sample == series[i]->samples.size());
  }
}

}  // namespace

Status write_clocks(const ClockProduct& product, ByteSink& sink) {
  std::vector<const ClockSeries*> series;
  for (const ClockSeries& s : product.series) {
    if (!s.samples.empty()) {
      series.push_back(&s);
    }
  }
  if (series.empty()) {
    return fail(ErrorCode::kNoData, "a clock file without a clock");
  }
  std::sort(series.begin(),
            series.end(),
            [](const ClockSeries* a, const ClockSeries* b) {
              return is_before(*a, *b);
            });
  LineWriter out(sink);
  put_head(out, product, series);
  put_epochs(out, product, series);
  return out.finish();
}

}  // namespace stillpoint::products
