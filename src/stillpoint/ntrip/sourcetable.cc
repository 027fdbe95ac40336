#include "stillpoint/ntrip/sourcetable.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/ntrip/ascii.h"
#include "stillpoint/ntrip/sourcetable_fields.h"

namespace stillpoint::ntrip {
namespace {

constexpr std::size_t kStreamFields = 19, kCasterFields = 12,
                      kNetworkFields = 9, kLongestMount = 100;
constexpr std::string_view kEnd = "ENDSOURCETABLE";
constexpr int kAny = std::numeric_limits<int>::max();

StreamRecord read_stream(FieldReader& f) {
  StreamRecord r;
  r.mountpoint = f.name();
  r.identifier = f.text();
  r.format = f.text();
  r.format_details = f.text();
  r.carrier = f.whole("carrier", kAny);
  r.nav_system = f.text();
  r.network = f.text();
  r.country = f.text();
  r.latitude_deg = f.degrees("latitude", -90, 90);
  r.longitude_deg = f.degrees("longitude", -180, 360);
  r.wants_gga = f.flag("nmea");
  r.solution = f.whole("solution", kAny);
  r.generator = f.text();
  r.compression = f.text();
  r.authentication = f.text();
  r.fee = f.text();
  r.bitrate = f.whole("bitrate", kAny);
  r.misc = f.text();
  return r;
}

CasterRecord read_caster(FieldReader& f) {
  CasterRecord r;
  r.host = f.name();
  r.port = f.whole("port", 65535);
  r.identifier = f.text();
  r.operated_by = f.text();
  r.takes_gga = f.flag("nmea");
  r.country = f.text();
  r.latitude_deg = f.degrees("latitude", -90, 90);
  r.longitude_deg = f.degrees("longitude", -180, 360);
  r.fallback_host = f.text();
  r.fallback_port = f.whole("fallback port", 65535);
  r.misc = f.text();
  return r;
}

NetworkRecord read_network(FieldReader& f) {
  NetworkRecord r;
  r.identifier = f.name();
  r.operated_by = f.text();
  r.authentication = f.text();
  r.fee = f.text();
  r.web_network = f.text();
  r.web_stream = f.text();
  r.web_register = f.text();
  r.misc = f.text();
  return r;
}

class TableReader {
 public:
  // False at the end of the table.
  bool take(const std::string& line, std::size_t number) {
    const std::string_view whole = trim(line);
    if (whole == kEnd) {
      table.complete = true;
      return false;
    }
    bool bad_quote = false;
    // The type and the rest: a damaged quote is reported with the record.
    const std::string type(trim(split_fields(line, 2, bad_quote).front()));
    if (type == "STR") {
      FieldReader f(line, kStreamFields);
      StreamRecord r = read_stream(f);
      const std::size_t length = r.mountpoint.size();
      if (length > kLongestMount) {
        complain(number, "the mountpoint has more than 100 characters");
      }
      keep(number, type, length > 0, std::move(r), f.problem());
    } else if (type == "CAS") {
      FieldReader f(line, kCasterFields);
      CasterRecord r = read_caster(f);
      const bool named = !r.host.empty();
      keep(number, type, named, std::move(r), f.problem());
    } else if (type == "NET") {
      FieldReader f(line, kNetworkFields);
      NetworkRecord r = read_network(f);
      const bool named = !r.identifier.empty();
      keep(number, type, named, std::move(r), f.problem());
    } else if (!whole.empty()) {
      table.records.emplace_back(OtherRecord{line});
    }
    return true;
  }

  Sourcetable table;

 private:
  void keep(std::size_t number,
            const std::string& type,
            bool named,
            SourcetableRecord record,
            const std::string& problem) {
    if (!named) {
      complain(number, type + " without a name, left out");
      return;
    }
    if (!problem.empty()) {
      complain(number, type + ": " + problem);
    }
    table.records.push_back(std::move(record));
  }

  void complain(std::size_t number, std::string what) {
    ++table.problem_count;
    if (table.problems.size() < kMaxTableProblems) {
      table.problems.push_back({number, std::move(what)});
    }
  }
};

struct Writer {
  std::string operator()(const StreamRecord& r) const {
    return FieldWriter("STR")
        .text(r.mountpoint)
        .text(r.identifier)
        .text(r.format)
        .text(r.format_details)
        .whole(r.carrier)
        .text(r.nav_system)
        .text(r.network)
        .text(r.country)
        .degrees(r.latitude_deg)
        .degrees(r.longitude_deg)
        .whole(r.wants_gga)
        .whole(r.solution)
        .text(r.generator)
        .text(r.compression)
        .text(r.authentication)
        .text(r.fee)
        .whole(r.bitrate)
        .text(r.misc)
        .line();
  }
  std::string operator()(const CasterRecord& r) const {
    return FieldWriter("CAS")
        .text(r.host)
        .whole(r.port)
        .text(r.identifier)
        .text(r.operated_by)
        .whole(r.takes_gga)
        .text(r.country)
        .degrees(r.latitude_deg)
        .degrees(r.longitude_deg)
        .text(r.fallback_host)
        .whole(r.fallback_port)
        .text(r.misc)
        .line();
  }
  std::string operator()(const NetworkRecord& r) const {
    return FieldWriter("NET")
        .text(r.identifier)
        .text(r.operated_by)
        .text(r.authentication)
        .text(r.fee)
        .text(r.web_network)
        .text(r.web_stream)
        .text(r.web_register)
        .text(r.misc)
        .line();
  }
  std::string operator()(const OtherRecord& r) const { return r.line; }
};

}  // namespace

std::vector<const StreamRecord*> Sourcetable::streams() const {
  std::vector<const StreamRecord*> found;
  for (const SourcetableRecord& record : records) {
    if (const auto* stream = std::get_if<StreamRecord>(&record)) {
      found.push_back(stream);
    }
  }
  return found;
}

Result<Sourcetable> parse_sourcetable(std::string_view text) {
  if (text.size() > kMaxTableBytes) {
    return fail(ErrorCode::kTooLarge,
                fmt::format("a source table of {} bytes; at most {} are read",
                            text.size(),
                            kMaxTableBytes));
  }
  TableReader reader;
  std::size_t number = 0;
  while (!text.empty()) {
    if (++number > kMaxTableLines) {
      return fail(
          ErrorCode::kTooLarge,
          fmt::format("a source table of more than {} lines", kMaxTableLines));
    }
    const std::size_t end = std::min(text.find('\n'), text.size());
    std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (line.ends_with('\r')) {
      line.remove_suffix(1);
    }
    if (!reader.take(one_line(line), number)) {
      break;
    }
  }
  return std::move(reader.table);
}

std::string format_sourcetable(const Sourcetable& table) {
  std::string text;
  for (const SourcetableRecord& record : table.records) {
    text += one_line(std::visit(Writer{}, record));
    text += "\r\n";
  }
  text += kEnd;
  text += "\r\n";
  return text;
}

}  // namespace stillpoint::ntrip
