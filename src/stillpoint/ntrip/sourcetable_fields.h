// The fields of one line of a source table.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::ntrip {

// Splits at semicolons outside double quotes into at most `most` fields; the
// last one holds the rest. Inside quotes, "" is one quote. Where a quote is
// never closed, quotes mean nothing in this line, and `bad_quote` is set.
std::vector<std::string> split_fields(std::string_view line,
                                      std::size_t most,
                                      bool& bad_quote);

// One after the other, by what they should be; missing ones are empty.
class FieldReader {
 public:
  // `what` of the first thing that is wrong is kept in problem().
  FieldReader(std::string_view line, std::size_t count);

  std::string text();
  std::string name();  // without blanks at the ends
  std::optional<int> whole(const char* what, int highest);
  std::optional<bool> flag(const char* what);
  std::optional<double> degrees(const char* what, double low, double high);

  [[nodiscard]] const std::string& problem() const { return problem_; }

 private:
  void complain(const char* what, std::string_view field);

  std::vector<std::string> fields_;
  std::size_t next_ = 1;  // behind the type
  std::string problem_;
};

// Writes fields so that they are read the same.
class FieldWriter {
 public:
  explicit FieldWriter(std::string_view type) : line_(type) {}

  FieldWriter& text(std::string_view value);
  FieldWriter& whole(std::optional<int> value);
  FieldWriter& degrees(std::optional<double> value);

  [[nodiscard]] const std::string& line() const { return line_; }

 private:
  std::string line_;
};

}  // namespace stillpoint::ntrip
