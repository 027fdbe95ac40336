#include "stillpoint/fetch/fetch_test_support.h"

#include <gtest/gtest.h>
#include <zlib.h>

#include <cstdlib>
#include <fstream>
#include <iterator>

#include "stillpoint/fetch/archives_toml.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::fetch::test {

TempDir::TempDir() {
  std::string name =
      (std::filesystem::temp_directory_path() / "fetch.XXXXXX").string();
  EXPECT_NE(mkdtemp(name.data()), nullptr);
  path_ = name;
}

TempDir::~TempDir() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::filesystem::path TempDir::file(std::string_view name,
                                    std::string_view content) const {
  std::ofstream(path(name), std::ios::binary) << content;
  return path(name);
}

std::string gzipped(std::string_view text) {
  z_stream zlib{};
  EXPECT_EQ(deflateInit2(&zlib, 9, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY),
            Z_OK);
  std::string in(text);
  std::string out(deflateBound(&zlib, in.size()) + 64, '\0');
  zlib.next_in = reinterpret_cast<Bytef*>(in.data());
  zlib.avail_in = static_cast<uInt>(in.size());
  zlib.next_out = reinterpret_cast<Bytef*>(out.data());
  zlib.avail_out = static_cast<uInt>(out.size());
  EXPECT_EQ(deflate(&zlib, Z_FINISH), Z_STREAM_END);
  out.resize(out.size() - zlib.avail_out);
  deflateEnd(&zlib);
  return out;
}

std::string content_of(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

GnssTime gpst(std::string_view text) {
  const auto t = parse_time(text);
  EXPECT_TRUE(t) << text;
  return t.value_or(GnssTime{});
}

Result<TransferAnswer> FakeArchives::get(const std::string& url,
                                         const std::filesystem::path& path) {
  asked.push_back(url);
  TransferAnswer answer;
  for (const std::string& one : down) {
    if (url.starts_with(one)) {
      answer.why = {ErrorCode::kIo, "no connection", url, "wait"};
      return answer;
    }
  }
  const auto found = files.find(url);
  if (found == files.end()) {
    answer.outcome = TransferOutcome::kMissing;
    return answer;
  }
  std::ofstream(path, std::ios::binary) << found->second;
  answer.outcome = TransferOutcome::kDone;
  answer.size_bytes = found->second.size();
  return answer;
}

void FakeArchives::has(const std::string& url) {
  files[url] = url.ends_with(".gz") ? gzipped(url) : url;
}

ArchiveList two_archives() {
  static constexpr std::string_view kText = R"(
[[archive]]
name = "first"
url = "https://one.example.org/{week}/{file}"
attribution = "Agency AAA"
[[archive]]
name = "second"
url = "ftp://two.example.org/pub/{yyyy}/{ddd}/{file}"
[[product]]
kind = "orbits"
quality = "final"
agency = "AAA"
file = "{agency}0{campaign}{type}_{yyyy}{ddd}0000_01D_15M_ORB.SP3.gz"
span = "1d"
sample = "15m"
[[product]]
kind = "clocks"
quality = "final"
agency = "AAA"
file = "{agency}0{campaign}{type}_{yyyy}{ddd}0000_01D_30S_CLK.CLK.gz"
span = "1d"
sample = "30s"
[[product]]
kind = "orbits"
quality = "rapid"
agency = "AAA"
file = "{agency}0{campaign}{type}_{yyyy}{ddd}0000_01D_15M_ORB.SP3.gz"
span = "1d"
sample = "15m"
[[product]]
kind = "clocks"
quality = "rapid"
agency = "AAA"
file = "{agency}0{campaign}{type}_{yyyy}{ddd}0000_01D_30S_CLK.CLK.gz"
span = "1d"
sample = "30s"
[[product]]
kind = "orbits"
quality = "final"
agency = "BBB"
file = "{agency}0{campaign}{type}_{yyyy}{ddd}0000_01D_05M_ORB.SP3.gz"
span = "1d"
sample = "5m"
[[product]]
kind = "clocks"
quality = "final"
agency = "BBB"
file = "{agency}0{campaign}{type}_{yyyy}{ddd}0000_01D_30S_CLK.CLK.gz"
span = "1d"
sample = "30s"
[[product]]
kind = "biases"
quality = "final"
agency = "BBB"
file = "{agency}0{campaign}{type}_{yyyy}{ddd}0000_01D_01D_OSB.BIA.gz"
span = "1d"
[[product]]
kind = "orbits"
quality = "ultra"
agency = "AAA"
file = "{agency}0{campaign}{type}_{yyyy}{ddd}{hh}00_02D_15M_ORB.SP3.gz"
span = "2d"
every = "6h"
sample = "15m"
observed = "1d"
[[product]]
kind = "earth"
quality = "final"
agency = "AAA"
file = "{agency}0{campaign}{type}_{yyyy}{ddd}0000_01D_01D_ERP.ERP.gz"
span = "1d"
[[product]]
kind = "earth"
quality = "final"
agency = "BBB"
file = "{agency}0{campaign}{type}_{yyyy}{ddd}0000_01D_01D_ERP.ERP.gz"
span = "1d"
[[product]]
kind = "antennas"
quality = "final"
agency = "AAA"
file = "antennas.atx"
span = "0s"
)";
  auto list = parse_archives(kText, "two.toml");
  EXPECT_TRUE(list) << list.error().text();
  return list ? *list : ArchiveList{};
}

}  // namespace stillpoint::fetch::test
