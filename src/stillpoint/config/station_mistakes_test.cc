// Every mistake of a station.toml: where it is, what is allowed, what to write.
#include <algorithm>
#include <string>
#include <vector>

#include "stillpoint/config/station_config.h"
#include "stillpoint/config/station_test_support.h"

namespace stillpoint::config {
namespace {

struct Case {
  std::string section, line;  // the line that is wrong
  std::string what, remedy;   // parts of the message
};

// Column of the value of "key = value".
std::string column_of_value(const std::string& line) {
  return std::to_string(line.find(" = ") + 4);
}

const Case kCases[] = {
    {"station",
     "state = 'data'",
     "state = 'data'; allowed is a path that begins with /",
     "state = \"/var/lib/stillpoint\""},
    {"station", "state = '/a\\nb'", "", ""},
    {"receiver",
     "profile = 'my profile'",
     "'my profile'; allowed is the name of a shipped profile",
     "profile = \"nmea-text\""},
    {"receiver", "profile = false", "profile = false; allowed", "profile = "},
    {"receiver",
     "pass_through = 'udp:5'",
     "\"tcp:PORT\" with a port 1 .. 65535",
     "tcp:5001"},
    {"receiver", "pass_through = 'tcp:0'", "'tcp:0'", "tcp:5001"},
    {"receiver", "pass_through = 'tcp:65536'", "'tcp:65536'", "tcp:5001"},
    {"receiver", "pass_through = 'tcp:'", "'tcp:'", "tcp:5001"},
    {"receiver",
     "silence_s = 0",
     "silence_s = 0; allowed is 1 .. 3600 (seconds)",
     "silence_s = 10"},
    {"receiver", "nav_sources = '/a'", "a list of up to 8", "[\"tcp://"},
    {"receiver", "nav_sources = [1, 2, 3, 4, 5, 6, 7, 8, 9]", "up to 8", ""},
    {"archive",
     "commit_s = 11",
     "commit_s = 11; allowed is 1 .. 10 (seconds)",
     "write it like commit_s = 5"},
    {"archive",
     "commit_s = 5.5",
     "commit_s = 5.5; allowed is 1 .. 10",
     "commit_s = 5"},
    {"archive",
     "commit_s = '5'",
     "commit_s = '5'; allowed is 1 .. 10",
     "commit_s = 5"},
    {"archive", "commit_s = [5]", "(array)", "commit_s = 5"},
    {"archive", "keep_days = -1", "-1; allowed is 0 .. 36500 (days)", ""},
    {"archive", "keep_mb = 100000001", "0 .. 100000000 (MB)", ""},
    {"archive", "leave_free_mb = 63", "64 .. ", ""},
    {"archive", "compression = 20", "1 .. 19 (zstd level)", ""},
    {"archive", "compression = 9223372036854775807", "1 .. 19", ""},
    {"archive", "compression = inf", "inf; allowed is 1 .. 19", ""},
    {"rovers",
     "listen = 'localhost:2101'",
     "'localhost:2101'; allowed is ADDRESS:PORT in numbers",
     "listen = \"0.0.0.0:2101\""},
    {"rovers",
     "listen = 2101",
     "listen = 2101; allowed is ADDRESS:PORT",
     "listen = "},
    {"rovers", "tls_listen = '::1:2102'", "IPv6 in brackets", ""},
    {"rovers", "certificate = 'c.pem'", "a path that begins with /", ""},
    {"rovers",
     "certificate = '/c.pem'",
     "certificate without key",
     "add key = "},
    {"rovers",
     "key = '/c.key'",
     "key without certificate",
     "add certificate = "},
    {"rovers", "most = 0", "1 .. 100000 (rovers)", ""},
    {"rovers", "most_per_address = 100001", "1 .. 100000", ""},
    {"rovers", "lag_kb = 15", "16 .. 16384 (kB)", ""},
    {"rovers", "lag_s = 601", "1 .. 600", ""},
    {"rovers", "write_deadline_s = true", "true; allowed is 1 .. 600", ""},
    {"rovers", "request_deadline_s = 61", "1 .. 60", ""},
    {"rovers", "drop = \"1033,1230\"", "numbers from 1 to 4095", ""},
    {"rovers", "drop = \"0\"", "numbers from 1 to 4095", ""},
    {"rovers", "station_id = \"4096\"", "from 0 to 4095", ""},
    {"trust",
     "provisional = 'yes'",
     "'yes'; allowed is true or false",
     "provisional = false"},
    {"trust", "provisional = 1", "1; allowed is true or false", ""},
    {"trust",
     "withhold = 'al'",
     "'al'; allowed are position, all",
     "did you mean \"all\"?"},
    {"trust",
     "withhold = 'nothing'",
     "position, all",
     "withhold = \"position\""},
    {"solve", "growth = 'yes'", "'yes'; allowed is true or false", ""},
    {"solve", "products = 'here'", "a path that begins with /", ""},
    {"solve", "memory_mb = 63", "64 .. 1000000 (MB)", ""},
    {"solve", "longest_min = 0", "1 .. 1440 (minutes)", ""},
    {"solve",
     "fetch = true",
     "without archives nobody can be asked",
     "add archives = "},
    {"console", "listen = '127.0.0.1'", "'127.0.0.1'", ""},
    {"console", "key = '/c.key'", "key without certificate", ""},
    {"health", "listen = '[::1]:0'", "'[::1]:0'", ""},
    {"log",
     "level = 'warn'",
     "debug, info, warning, error",
     "level = \"info\""},
    {"log", "level = 'infos'", "'infos'", "did you mean \"info\"?"},
    {"log", "format = 'xml'", "text, json", ""},
    // Two ports that are the same: said at the one in the file, the later one.
    {"health",
     "listen = '10.0.0.1:8080'",
     "listen: port 8080 is taken by listen of [console]",
     "its own port"},
    {"rovers",
     "listen = '0.0.0.0:9101'",
     "port 9101 is taken by listen of [health]",
     ""},
    {"rovers",
     "tls_listen = '127.0.0.1:2101'",
     "port 2101 is taken by listen of [rovers]",
     ""},
    {"receiver",
     "pass_through = 'tcp:2101'",
     "pass_through: port 2101 is taken by listen of [rovers]",
     ""},
};

TEST(StationMistake, IsToldWithItsPlaceAndWhatIsAllowed) {
  for (Case c : kCases) {
    // "\n" in a basic string is a line end for TOML.
    if (c.line.find("\\n") != std::string::npos) {
      std::replace(c.line.begin(), c.line.end(), '\'', '"');
    }
    const std::string lines = "[" + c.section + "]\n" + c.line + "\n";
    const Error error =
        error_of(c.section == "station" ? "mountpoint = [{name = 'LHOL'}]\n\n" +
                                              lines + "name = 'LHOL00XXX'\n"
                                        : with_needed(lines));
    EXPECT_EQ(error.where, "s.toml:4:" + column_of_value(c.line)) << c.line;
    EXPECT_NE(error.what.find(c.what), std::string::npos) << c.line << "\n"
                                                          << error.text();
    EXPECT_NE(error.remedy.find(c.remedy), std::string::npos) << c.line << "\n"
                                                              << error.remedy;
    EXPECT_EQ(error.what.find('\n'), std::string::npos) << error.text();
  }
}

const Case kMountCases[] = {
    {"",
     "name = 'two words'",
     "1 .. 64 of A-Z a-z 0-9 _ - . with",
     "name = \"LHOL\""},
    {"", "name = ''", "the line by which rovers ask", ""},
    {"", "name = '..'", "'..'", ""},
    {"", "name = 'a/b'", "'a/b'", ""},
    {"", "name = 'a?b'", "'a?b'", ""},
    {"", "name = 'a%20'", "'a%20'", ""},
    {"", "name = 'L\u00e4'", "", ""},
    {"", "name = 7", "name = 7", ""},
    {"",
     "name = 'LHOL'",
     "'LHOL'; an earlier [[mountpoint]] has it",
     "give each its own name"},
    {"",
     "identifier = 'a;b'",
     "no ; and no quote",
     "identifier = \"Larch Hollow\""},
    {"", "network = 'a\"b'", "no ; and no quote", ""},
    {"", "country = 'xx'", "three capitals", "country = \"XXX\""},
    {"",
     "latitude_deg = 90.5",
     "latitude_deg = 90.5; allowed is -90 .. 90 (degrees)",
     "latitude_deg = 47.3"},
    {"", "latitude_deg = nan", "nan; allowed is -90 .. 90", ""},
    {"", "longitude_deg = -181", "-181; allowed is -180 .. 180", ""},
    {"",
     "latitude_deg = 47.3",
     "latitude_deg without longitude_deg",
     "add longitude_deg, or leave both out"},
    {"", "longitude_deg = 8.9", "longitude_deg without latitude_deg", ""},
    {"", "open = 'no'", "true or false", ""},
    {"", "most = -1", "0 .. 100000", ""},
};

TEST(StationMistake, OfAMountpointIsToldToo) {
  for (const Case& c : kMountCases) {
    const bool names = c.line.starts_with("name");
    const Error error = error_of(
        "[station]\nname = 'LHOL00XXX'\n[[mountpoint]]\nname = 'LHOL'\n"
        "[[mountpoint]]\n" +
        c.line + (names ? "" : "\nname = 'B'"));
    EXPECT_EQ(error.where, "s.toml:6:" + column_of_value(c.line)) << c.line;
    EXPECT_NE(error.what.find(c.what), std::string::npos) << c.line << "\n"
                                                          << error.text();
    EXPECT_NE(error.remedy.find(c.remedy), std::string::npos) << c.line << "\n"
                                                              << error.remedy;
    EXPECT_EQ(error.what.find('\n'), std::string::npos) << error.text();
  }
}

TEST(StationMistake, TheNameOfTheStationHasAForm) {
  for (const char* name : {"",
                           "LHOL",
                           "lhol00xxx",
                           "LHOL00XX",
                           "LHOL00XXXX",
                           "LHOLA0XXX",
                           "LHOL00X1X",
                           "LH-L00XXX"}) {
    const Error error =
        error_of("mountpoint = [{name = 'A'}]\n[station]\nname = '" +
                 std::string(name) + "'");
    EXPECT_EQ(error.where, "s.toml:3:8") << name;
    EXPECT_EQ(error.what,
              "name = '" + std::string(name) +
                  "'; allowed is four capitals or digits, two digits, three "
                  "capitals");
    EXPECT_EQ(error.remedy, "write it like name = \"LHOL00XXX\"");
  }
}

TEST(StationMistake, WhatMustBeGivenIsMissed) {
  const Error nothing = error_of("");
  EXPECT_EQ(nothing.where, "s.toml:1:1");
  EXPECT_NE(nothing.what.find("no [[mountpoint]]"), std::string::npos);
  EXPECT_NE(nothing.what.find("\ns.toml:1:1: no [station]; needed is its name"),
            std::string::npos)
      << nothing.text();
  const Error nameless = error_of("\n[station]\n[[mountpoint]]\nopen = true");
  EXPECT_EQ(nameless.where, "s.toml:2:1");
  EXPECT_NE(nameless.what.find("[station] without name"), std::string::npos);
  EXPECT_NE(nameless.what.find("\ns.toml:3:1: [[mountpoint]] without name"),
            std::string::npos)
      << nameless.text();
  EXPECT_EQ(error_of("station.name = 'LHOL00XXX'\nmountpoint = []").where,
            "s.toml:2:14");
}

TEST(StationMistake, AnUnknownKeyOrTableGetsASuggestion) {
  const Error key = error_of(with_needed("[archive]\ncomit_s = 5"));
  EXPECT_EQ(key.where, "s.toml:4:1");
  EXPECT_EQ(key.what,
            "unknown key 'comit_s'; [archive] may have: commit_s, keep_days, "
            "keep_mb, leave_free_mb, compression");
  EXPECT_EQ(key.remedy, "did you mean 'commit_s'?");
  const Error table = error_of(with_needed("[archiv]\ncommit_s = 5"));
  EXPECT_EQ(table.where, "s.toml:3:2");
  EXPECT_EQ(table.remedy, "did you mean 'archive'?");
  EXPECT_EQ(error_of(with_needed("[zzz]")).remedy, "remove it");
}

TEST(StationMistake, AKeyOfAnotherSectionIsSentThere) {
  const Error error = error_of(with_needed("[rovers]\ncommit_s = 5"));
  EXPECT_EQ(error.where, "s.toml:4:1");
  EXPECT_EQ(error.what, "key 'commit_s' in [rovers]; it belongs in [archive]");
  EXPECT_EQ(error_of("silence_s = 5\n" + with_needed("")).what,
            "key 'silence_s' above all sections; it belongs in [receiver]");
  EXPECT_EQ(error_of(with_needed("[log]\nlisten = ''")).what,
            "key 'listen' in [log]; it belongs in [rovers] or [console] or "
            "[health]");
  EXPECT_EQ(error_of(with_needed("[trust]\nopen = true")).what,
            "key 'open' in [trust]; it belongs in [[mountpoint]]");
}

TEST(StationMistake, ASecretIsSentWhereItBelongsAndNeverRepeated) {
  struct Secret {
    std::string text, where, remedy;
  };
  const std::vector<Secret> secrets = {
      {"[receiver]\npassword = 'hidden'", "s.toml:4:1", "password_file="},
      {"[receiver]\nUser = 'hidden'", "s.toml:4:1", "password_file="},
      {"[rovers]\nadmin_Password = 'hidden'", "s.toml:4:1", "in the console"},
      {"[rovers]\nkey_passphrase = 'hidden'", "s.toml:4:1", "key file without"},
      {"[console]\nclaim_token = 'hidden'", "s.toml:4:1", "in the console"},
      {"[users]\ntractor-2 = 'hidden'", "s.toml:3:2", "in the console"},
      {"[[people]]\nname = 'hidden'", "s.toml:3:3", "in the console"},
  };
  for (const Secret& secret : secrets) {
    const Error error = error_of(with_needed(secret.text));
    EXPECT_EQ(error.where, secret.where) << secret.text;
    EXPECT_NE(error.what.find("no secret"), std::string::npos) << error.text();
    EXPECT_NE(error.remedy.find(secret.remedy), std::string::npos)
        << error.remedy;
    EXPECT_EQ((error.text() + error.remedy).find("hidden"), std::string::npos);
  }
}

TEST(StationMistake, AWrongSourceIsToldInTheWordsOfItsCheck) {
  const Error error = error_of(with_needed("[receiver]\nsource = 'x:hidden'"));
  EXPECT_EQ(error.where, "s.toml:4:10");
  EXPECT_EQ(error.what, "source: this kind of source does not exist");
  EXPECT_EQ(error.remedy, "write serial:/dev/ttyACM0");
  const Error list = error_of(
      with_needed("[receiver]\nnav_sources = ['/a', 'x://hidden', 'a/b', 5]"));
  EXPECT_EQ(list.where, "s.toml:4:22");
  EXPECT_NE(list.what.find("nav_sources: this kind"), std::string::npos);
  EXPECT_NE(list.what.find("\ns.toml:4:36: nav_sources; allowed is a list"),
            std::string::npos)
      << list.text();
  EXPECT_NE(list.what.find("\ns.toml:4:43: "), std::string::npos);
  EXPECT_EQ(list.text().find("hidden"), std::string::npos) << list.text();
  EXPECT_EQ(error_of(with_needed("receiver.source = ''")).where, "s.toml:3:19");
  EXPECT_EQ(error_of(with_needed("receiver.source = \"serial:\\n\"")).where,
            "s.toml:3:19");
  EXPECT_EQ(error_of(with_needed("receiver.source = 5")).where, "s.toml:3:19");
}

TEST(StationMistake, OneSourceReadTwiceIsOne) {
  const Error error = error_of(
      with_needed("[receiver]\nsource = 'serial:/a'\n"
                  "nav_sources = ['serial:/a', 'serial:/b', 'serial:/b']"));
  EXPECT_EQ(error.where, "s.toml:5:16");
  EXPECT_NE(error.what.find("receiver's own source"), std::string::npos);
  EXPECT_NE(error.what.find("\ns.toml:5:42: nav_sources: an earlier entry"),
            std::string::npos)
      << error.text();
}

TEST(StationMistake, ACertificateThatNoPortShowsIsOne) {
  const Error rovers =
      error_of(with_needed("[rovers]\nkey = '/k'\ncertificate = '/c'"));
  EXPECT_EQ(rovers.where, "s.toml:5:15");
  EXPECT_EQ(rovers.what, "certificate; without tls_listen no port shows it");
  const Error console = error_of(
      with_needed("[console]\nlisten = ''\nkey = '/k'\ncertificate = '/c'"));
  EXPECT_EQ(console.where, "s.toml:6:15");
}

// A wrong value stands for nothing: what would not fit it is not said.
TEST(StationMistake, OneMistakeIsToldOnce) {
  for (const char* text :
       {"[rovers]\nlisten = '0.0.0.0:9101'\n[health]\nlisten = 5",
        "[rovers]\ncertificate = 'c'\nkey = '/k'",
        "[rovers]\ntls_listen = 5\ncertificate = '/c'\nkey = '/k'",
        "[receiver]\nsource = 'x:'\nnav_sources = []"}) {
    const Error error = error_of(with_needed(text));
    EXPECT_EQ(error.what.find('\n'), std::string::npos) << error.text();
  }
  const Error pair = error_of(
      "station.name = 'LHOL00XXX'\n[[mountpoint]]\nname = 'A'\n"
      "latitude_deg = 91\nlongitude_deg = 8");
  EXPECT_EQ(pair.what.find('\n'), std::string::npos) << pair.text();
}

TEST(StationMistake, AllAreToldInTheOrderOfTheText) {
  const Error error = error_of(
      "top = 1\n[log]\nlevel = 'x'\n[archive]\ncommit_s = 0\nkeep = 1\n"
      "[station]\nname = 'x'\n[[mountpoint]]\nname = ''\n");
  EXPECT_EQ(error.where, "s.toml:1:1");
  std::size_t last = 0;
  for (const char* line : {"\ns.toml:3:9: level",
                           "\ns.toml:5:12: commit_s",
                           "\ns.toml:6:1: unknown key 'keep'",
                           "\ns.toml:8:8: name",
                           "\ns.toml:10:8: name"}) {
    const std::size_t at = error.what.find(line);
    ASSERT_NE(at, std::string::npos) << line << "\n" << error.text();
    EXPECT_GT(at, last);
    last = at;
  }
}

TEST(StationMistake, OtherShapesOfTablesAreOne) {
  const std::string name = "station.name = 'LHOL00XXX'\n";
  for (const char* text :
       {"[mountpoint]\nname = 'A'", "mountpoint = 5", "mountpoint = [5]"}) {
    EXPECT_NE(error_of(name + text).remedy.find("[[mountpoint]]"),
              std::string::npos);
  }
  EXPECT_EQ(error_of(with_needed("archive = 5")).where, "s.toml:3:11");
  EXPECT_EQ(error_of(with_needed("[[archive]]")).remedy,
            "write [archive] once, above its keys");
  std::string many = name;
  for (int i = 0; i < 65; ++i) {
    many += "[[mountpoint]]\nname = 'm" + std::to_string(i) + "'\n";
  }
  EXPECT_NE(error_of(many).what.find("1 .. 64"), std::string::npos);
}

TEST(StationMistake, BrokenTomlIsToldWithItsPlace) {
  EXPECT_EQ(error_of("[station]\nname = \n").where, "s.toml:2:8");
  EXPECT_EQ(error_of("[log]\nlevel = 'x'\nlevel = 'y'\n").where, "s.toml:3:9");
  EXPECT_EQ(error_of(std::string(70'000, '#')).where, "s.toml:1:1");
}

}  // namespace
}  // namespace stillpoint::config
