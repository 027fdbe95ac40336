// Every mistake of a step: where it is, what is allowed, what to write.
#include <algorithm>

#include "stillpoint/profile/profile_test_support.h"

namespace stillpoint::profile {
namespace {

struct Case {
  std::string lines;
  std::string key;   // the mistake stands at its value
  std::string said;  // part of the message
};

std::string profile_with(const std::string& lines) {
  return std::string(test::kDemoFraming) + "[[step]]\nname = 'x'\n" + lines;
}

Error error_of(const std::string& text) {
  const auto got = parse_profile(text, "p.toml");
  EXPECT_FALSE(got) << text;
  if (got) {
    return {};
  }
  EXPECT_EQ(got.error().code, ErrorCode::kConfig);
  EXPECT_FALSE(got.error().remedy.empty());
  return got.error();
}

// "p.toml:12:7" of a key's value in the step.
std::string place_of(const std::string& key, const std::string& text) {
  const std::size_t step = text.find("[[step]]");
  const std::size_t at = text.find("\n" + key + " = ", step) + 1;
  const auto line =
      1 + std::count(text.begin(),
                     text.begin() + static_cast<std::ptrdiff_t>(at),
                     '\n');
  return "p.toml:" + std::to_string(line) + ":" +
         std::to_string(key.size() + 4);
}

const Case kCases[] = {
    {"text = 7", "text", "a text in quotes"},
    {"text = ''", "text", "1 .. 1024"},
    {"text = \"A\\n\"", "text", "at letter 2"},
    {"text = 'A{x_m'", "text", "at letter 2 a brace is open"},
    {"text = 'A}'", "text", "at letter 2 a brace is closed"},
    {"text = '{z}'", "text", "{z} is no value"},
    {"text = '{}'", "text", "{} is no value"},
    {"text = '{x_m:}'", "text", "'' in {x_m:}"},
    {"text = '{x_m:.16}'", "text", "'.16'"},
    {"text = '{x_m:.}'", "text", "'.'"},
    {"text = '{x_m:.-1}'", "text", "'.-1'"},
    {"text = '{x_m:4}'", "text", "'4'"},
    {"text = '{x_m:i32le}'", "text", "number of decimals"},
    {"text = '{x_m:.1,.2}'", "text", "each once"},
    {"text = '{x_m:scale=1,scale=1}'", "text", "each once"},
    {"text = '{x_m:scale=0}'", "text", "'scale=0'"},
    {"text = '{x_m:scale=-1}'", "text", "'scale=-1'"},
    {"text = '{x_m:scale=nan}'", "text", "'scale=nan'"},
    {"text = '{x_m:scale=1e16}'", "text", "'scale=1e16'"},
    {"text = 'RATE'\nchecksum = 'nmea'", "text", "'$' or '!'"},
    {"text = '{x_m}'\nchecksum = 'nmea'", "text", "'$' or '!'"},
    {"text = 'A'\nchecksum = 'crc16'", "checksum", "none, nmea"},
    {"text = 'A'\nline_end = 'crfl'", "line_end", "crlf, lf, cr, none"},
    {"text = 'A'\nframing = 'SPDEMO'", "framing", "only a step with hex"},
    {"text = 'A'\nchecksum_from = 1", "checksum_from", "only a step with hex"},
    {"hex = 'A1'\nline_end = 'lf'", "line_end", "only a step with text"},
    {"hex = ''", "hex", "0 bytes; allowed are 1 .. 4096"},
    {"hex = 'A1 B'", "hex", "at letter 4"},
    {"hex = 'A1 B 2'", "hex", "at letter 4"},
    {"hex = 'A1 ?\?'", "hex", "at letter 4"},
    {"hex = '0xA1'", "hex", "at letter 1"},
    {"hex = 'A1 {x_m'", "hex", "a brace is open"},
    {"hex = 'A1 {x_m}'", "hex", "has no form"},
    {"hex = 'A1 {x_m:scale=10}'", "hex", "has no form"},
    {"hex = 'A1 {x_m:.4}'", "hex", "'.4'"},
    {"hex = 'A1 {x_m:i32}'", "hex", "'i32'"},
    {"hex = 'A1 {length}'", "hex", "in a packet with framing"},
    {"hex = 'A1'\nchecksum = 'nmea'", "checksum", "crc24q, crc32"},
    {"hex = 'A1'\nchecksum = 'crc16'\nchecksum_from = 2",
     "hex",
     "1 bytes; the checksum begins behind them"},
    {"hex = 'A1'\nchecksum_start = 1", "checksum_start", "does not look"},
    {"hex = '9EC4 1000 {length}'\nframing = 'SPDEM'",
     "framing",
     "this profile has SPDEMO"},
    {"hex = '9EC4 1000 {length}'\nframing = 'SPDEMO'\nchecksum = 'crc32'",
     "checksum",
     "the framing has a checksum"},
    {"hex = '9EC5 1000 {length}'\nframing = 'SPDEMO'", "hex", "their sync"},
    {"hex = '{x_m:i16le} 1000 {length}'\nframing = 'SPDEMO'",
     "hex",
     "their sync"},
    {"hex = '9EC4 10 {length} 00'\nframing = 'SPDEMO'",
     "hex",
     "{length} is byte 3; in SPDEMO it is byte 4"},
    {"hex = '9EC4 1000 0100 AABB'\nframing = 'SPDEMO'",
     "hex",
     "the length field does not say"},
    {"hex = '9EC4 1000 {x_m:i16le}'\nframing = 'SPDEMO'",
     "hex",
     "the length field does not say"},
    {"hex = '9EC4 1000 {length} {length}'\nframing = 'SPDEMO'",
     "hex",
     "stands once"},
    {"hex = '9EC4 1000 00'\nframing = 'SPDEMO'", "hex", "10 .. 4096"},
    {"text = 'A'\nreply = ''", "reply", "1 .. 200"},
    {"text = 'A'\nreply = \"\\t\"", "reply", "1 .. 200"},
    {"text = 'A'\nreply = 'B'\nreply_hex = 'A0A1'", "reply_hex", "one of the"},
    {"text = 'A'\nreply = 'B'\nrefusal = 'C'\nrefusal_hex = 'A0A1'",
     "refusal_hex",
     "one of the"},
    {"text = 'A'\nreply_hex = 'A0 ?\?'", "reply_hex", "at least 2 of them"},
    {"text = 'A'\nreply_hex = 'A0 ?'", "reply_hex", "?? for any byte"},
    {"text = 'A'\nreply_hex = 'A0 ?1'", "reply_hex", "?? for any byte"},
    {"text = 'A'\nreply_hex = '" + std::string(130, 'A') + "'",
     "reply_hex",
     "65 bytes"},
    {"text = 'A'\nrefusal = 'B'", "refusal", "nothing is waited for"},
    {"text = 'A'\nrefusal_hex = 'B1B2'", "refusal_hex", "nothing is waited"},
    {"text = 'A'\ntries = 2", "tries", "nothing is waited for"},
    {"text = 'A'\nreply_within_s = 2", "reply_within_s", "nothing is waited"},
    {"text = 'A'\nreply = 'OK'\nrefusal = 'O'", "refusal", "every reply"},
    {"text = 'A'\nreply_hex = 'A0 01 B0'\nrefusal_hex = 'A0 ?? B0'",
     "refusal_hex",
     "every reply"},
    {"text = 'A'\nreply = 'B'\ntries = 0", "tries", "1 .. 20"},
    {"text = 'A'\nreply = 'B'\ntries = 21", "tries", "0 .. 20"},
    {"text = 'A'\nreply = 'B'\nreply_within_s = 0", "reply_within_s", "above"},
    {"text = 'A'\nreply = 'B'\nreply_within_s = 61", "reply_within_s", "60"},
    {"text = 'A'\npause_s = -1", "pause_s", "0 .. 60"},
    {"text = 'A'\npause_s = nan", "pause_s", "0 .. 60"},
    {"text = 'A'\npause_s = 'short'", "pause_s", "seconds"},
    {"text = 'A'\noptional = 1", "optional", "true or false"}};

TEST(StepMistake, IsToldWithItsPlaceAndWhatIsAllowed) {
  for (const Case& c : kCases) {
    const std::string text = profile_with(c.lines + "\n");
    const Error error = error_of(text);
    EXPECT_EQ(error.where, place_of(c.key, text)) << error.text();
    EXPECT_TRUE(error.what.starts_with(c.key + " = ")) << error.text();
    EXPECT_NE(error.what.find(c.said), std::string::npos) << error.text();
    EXPECT_EQ(error.what.find('\n'), std::string::npos) << error.text();
  }
}

TEST(StepMistake, AMissingNameAndBytesAreToldAtTheTable) {
  const Error nameless = error_of("[[step]]\ntext = 'A'");
  EXPECT_EQ(nameless.where, "p.toml:1:1");
  EXPECT_NE(nameless.what.find("name"), std::string::npos);
  const Error empty = error_of("[[step]]\nname = 'x'");
  EXPECT_EQ(empty.where, "p.toml:1:1");
  EXPECT_NE(empty.what.find("neither text nor hex"), std::string::npos);
  const Error both = error_of("[[step]]\nname = 'x'\ntext = 'A'\nhex = 'A1'");
  EXPECT_NE(both.what.find("text and hex"), std::string::npos);
}

TEST(StepMistake, NamesAreReadableAndNotGivenTwice) {
  EXPECT_NE(error_of("[[step]]\nname = ''\ntext = 'A'").what.find("1 .. 60"),
            std::string::npos);
  const std::string step = "[[step]]\nname = 'a b'\ntext = 'A'\n";
  const Error twice = error_of(step + step);
  EXPECT_EQ(twice.where, "p.toml:4:1");
  EXPECT_NE(twice.what.find("'a b'"), std::string::npos);
}

TEST(StepMistake, SingleBracketsAndOtherShapesAreOne) {
  for (const char* text : {"[step]\nname = 'x'", "step = 1", "step = [1]"}) {
    EXPECT_NE(error_of(text).remedy.find("[[step]]"), std::string::npos);
  }
  std::string many;
  for (int i = 0; i < 65; ++i) {
    many += "[[step]]\nname = 'n" + std::to_string(i) + "'\ntext = 'A'\n";
  }
  EXPECT_NE(error_of(many).what.find("64"), std::string::npos);
}

TEST(StepMistake, WordsAreSuggested) {
  EXPECT_EQ(error_of(profile_with("text = 'A'\nrefuse = 'B'")).remedy,
            "did you mean 'refusal'?");
  EXPECT_EQ(error_of(profile_with("text = '{latdeg}'")).remedy,
            "did you mean {lat_deg}?");
}

TEST(StepMistake, AllAreToldInTheOrderOfTheText) {
  const Error error = error_of(
      "[[step]]\nname = 'x'\ntext = ''\nreply = 'B'\ntries = 99\n"
      "[[step]]\nname = 'y'\nhex = 'Z'\n");
  EXPECT_EQ(error.where, "p.toml:3:8");
  const std::size_t tries = error.what.find("\np.toml:5:9: tries");
  const std::size_t hex = error.what.find("\np.toml:8:7: hex");
  EXPECT_LT(tries, hex) << error.text();
  EXPECT_NE(hex, std::string::npos) << error.text();
}

TEST(StepMistake, ALengthThatItsFieldCannotSayIsOne) {
  const Error error = error_of(
      "[[framing]]\nname = 'f'\nsync = 'A1'\nlength_offset = 1\n"
      "length_bytes = 1\nlength_adds = 2\nchecksum = 'none'\n"
      "[[step]]\nname = 'x'\nframing = 'f'\nhex = 'A1 {length} " +
      std::string(600, '0') + "'");
  EXPECT_NE(error.what.find("can say 302 bytes"), std::string::npos)
      << error.text();
  const Error negative = error_of(
      "[[framing]]\nname = 'f'\nsync = 'A1'\nlength_offset = 1\n"
      "length_bytes = 1\nlength_adds = 9\nchecksum = 'none'\n"
      "[[step]]\nname = 'x'\nframing = 'f'\nhex = 'A1 {length} 00'");
  EXPECT_NE(negative.what.find("can say 3 bytes"), std::string::npos)
      << negative.text();
}

TEST(StepMistake, APacketBeyondTheLongestOfItsFramingIsOne) {
  const auto profile_of_size = [](std::size_t payload) {
    return "[[framing]]\nname = 'f'\nsync = 'A1'\nlength_offset = 1\n"
           "length_bytes = 1\nlength_adds = 3\nchecksum = 'xor'\n"
           "checksum_from = 0\nlongest = 20\n"
           "[[step]]\nname = 'x'\nframing = 'f'\nhex = 'A1 {length} " +
           std::string(2 * payload, '0') + "'";
  };
  EXPECT_TRUE(parse_profile(profile_of_size(17), "p.toml"));
  const Error error = error_of(profile_of_size(18));
  EXPECT_NE(error.what.find("21 bytes with the checksum"), std::string::npos)
      << error.text();
}

TEST(StepMistake, AFramingThatIsWrongIsToldAlone) {
  const Error error = error_of(
      "[[framing]]\nname = 'f'\nsync = 'A1'\nlength_offset = 1\n"
      "length_bytes = 60000\nlength_adds = 2\nchecksum = 'none'\n"
      "[[step]]\nname = 'x'\nframing = 'f'\nhex = 'A1 {length} 00'");
  EXPECT_EQ(error.where, "p.toml:5:16");
  EXPECT_EQ(error.what.find('\n'), std::string::npos) << error.text();
}

}  // namespace
}  // namespace stillpoint::profile
