// What the texts of station.toml may be.
#pragma once

#include <string_view>
#include <vector>

namespace stillpoint::config {

struct TextRule {
  bool (*fits)(std::string_view);
  std::string_view allowed;  // in a message and in the docs
};

extern const TextRule kStationName;
extern const TextRule kFolder;       // absolute
extern const TextRule kFileOrEmpty;  // absolute
extern const TextRule kProfile;
extern const TextRule kPassThrough;
extern const TextRule kMountName;
extern const TextRule kTableField;  // of a source table
extern const TextRule kCountry;
extern const TextRule kMessageTypes;  // numbers with blanks between them
extern const TextRule kStationId;     // a number, or empty
// Of the header of a RINEX file, by their width.
extern const TextRule kHeaderText20;
extern const TextRule kHeaderText40;

// The path of a file or folder: absolute, one line, at most 1024 bytes.
bool is_path(std::string_view text);

// The numbers of such a text, 1 .. 4095; empty for one that does not fit.
std::vector<int> message_types(std::string_view text);

// The port of "tcp:PORT"; 0 for all else.
unsigned pass_through_port(std::string_view text);

}  // namespace stillpoint::config
