// A writer of the compressed form for tests, made from the rules alone.
#include <algorithm>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/rinex/observation_test_support.h"

namespace stillpoint::rinex::test {
namespace {

std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    lines.emplace_back(text.substr(0, end));
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
  }
  return lines;
}

std::string trimmed(std::string line) {
  line.resize(line.find_last_not_of(" \r") + 1);
  return line;
}

// Characters that change `before` into `after`.
std::string text_difference(std::string before, std::string after) {
  const std::size_t size = std::max(before.size(), after.size());
  before.resize(size, ' ');
  after.resize(size, ' ');
  std::string result(size, ' ');
  for (std::size_t i = 0; i < size; ++i) {
    if (before[i] != after[i]) {
      result[i] = after[i] == ' ' ? '&' : after[i];
    }
  }
  return trimmed(result);
}

// One column's history, newest first, as far as the order reaches.
struct Chain {
  std::vector<long long> differences;
  std::string encode(long long value, int order) {
    const bool fresh = differences.empty();
    std::vector<long long> next{value};
    for (std::size_t i = 0;
         i < differences.size() && static_cast<int>(i) < order;
         ++i) {
      next.push_back(next.back() - differences[i]);
    }
    differences = next;
    const std::string number = std::to_string(next.back());
    return fresh ? std::to_string(order) + "&" + number : number;
  }
};

struct SatelliteHistory {
  std::vector<Chain> chains;
  std::string flags;
  int epoch = -2;
};

class Compressor {
 public:
  Compressor(int version, int order) : version_(version), order_(order) {}

  // head: epoch line with all satellites; fields: 16 columns per type.
  std::string epoch(const std::string& head,
                    std::string clock,
                    const std::vector<std::string>& satellites,
                    const std::vector<std::string>& fields) {
    ++number_;
    std::string out;
    if (number_ == 0) {
      out = head;
      out[0] = version_ == 1 ? '&' : '>';
    } else {
      out = text_difference(head_, head);
    }
    head_ = head;
    out += '\n' + this->clock(std::move(clock)) + '\n';
    for (std::size_t i = 0; i < satellites.size(); ++i) {
      out += satellite(satellites[i], fields[i]) + '\n';
    }
    return out;
  }

 private:
  std::string clock(std::string text) {
    std::erase(text, '.');
    if (text.find_first_not_of(' ') == std::string::npos) {
      clock_ = Chain();
      return {};
    }
    return clock_.encode(std::stoll(text), order_);
  }

  std::string satellite(const std::string& id, const std::string& fields) {
    SatelliteHistory& history = satellites_[id];
    const std::size_t columns = fields.size() / 16;
    if (history.epoch + 1 != number_) {
      history.chains.assign(columns, Chain());
      history.flags.assign(2 * columns, ' ');
    }
    history.epoch = number_;
    std::string line;
    std::string flags;
    for (std::size_t i = 0; i < columns; ++i) {
      std::string value = fields.substr(16 * i, 14);
      flags += fields.substr(16 * i + 14, 2);
      if (value.find_first_not_of(' ') == std::string::npos) {
        history.chains[i] = Chain();
      } else {
        std::erase(value, '.');
        line += history.chains[i].encode(std::stoll(value), order_);
      }
      line += ' ';
    }
    line += text_difference(history.flags, flags);
    history.flags = flags;
    return trimmed(line);
  }

  int version_, order_;
  int number_ = -1;
  std::string head_;
  Chain clock_;
  std::map<std::string, SatelliteHistory> satellites_;
};

std::string padded(std::string line, std::size_t size) {
  line.resize(std::max(size, line.size()), ' ');
  return line;
}

// Epochs of version 3 text from lines[at] on.
void compress3(const std::vector<std::string>& lines,
               std::size_t at,
               const std::map<char, std::size_t>& columns,
               Compressor& to,
               std::string& out) {
  while (at < lines.size()) {
    const std::string head_line = padded(lines[at++], 56);
    const int count = std::stoi(head_line.substr(32, 3));
    std::string head = head_line.substr(0, 41);
    std::vector<std::string> ids;
    std::vector<std::string> fields;
    for (int i = 0; i < count; ++i, ++at) {
      ids.push_back(lines[at].substr(0, 3));
      head += ids.back();
      const std::size_t size = 16 * columns.at(ids.back()[0]);
      fields.push_back(padded(lines[at], 3 + size).substr(3, size));
    }
    out += to.epoch(head, head_line.substr(41, 15), ids, fields);
  }
}

// The same for version 2: twelve satellites and five fields a line.
void compress2(const std::vector<std::string>& lines,
               std::size_t at,
               std::size_t columns,
               Compressor& to,
               std::string& out) {
  while (at < lines.size()) {
    const std::string first = padded(lines[at++], 80);
    const auto count = static_cast<std::size_t>(std::stoi(first.substr(29, 3)));
    std::string list = trimmed(first.substr(32, 36));
    while (list.size() < 3 * count) {
      list += trimmed(lines[at++]).substr(32);
    }
    std::vector<std::string> ids;
    std::vector<std::string> fields;
    for (std::size_t i = 0; i < count; ++i) {
      ids.push_back(list.substr(3 * i, 3));
      std::string& all = fields.emplace_back();
      while (all.size() < 16 * columns) {
        all += padded(lines[at++], 80).substr(0, 80);
      }
      all.resize(16 * columns);
    }
    out +=
        to.epoch(first.substr(0, 32) + list, first.substr(68, 12), ids, fields);
  }
}

}  // namespace

std::string compress(std::string_view text, int order) {
  const std::vector<std::string> lines = lines_of(text);
  const bool old = lines[0][5] == '2';
  std::string out =
      header_line(old ? "1.0                 COMPACT RINEX FORMAT"
                      : "3.0                 COMPACT RINEX FORMAT",
                  "CRINEX VERS   / TYPE") +
      header_line("", "CRINEX PROG / DATE");
  std::map<char, std::size_t> columns;
  std::size_t columns2 = 0;
  std::size_t at = 0;
  bool header = true;
  for (; header; ++at) {
    const std::string& line = lines[at];
    out += line + '\n';
    const std::string label = line.substr(60);
    header = !label.starts_with("END OF HEADER");
    if (label.starts_with("SYS / # / OBS TYPES") && line[0] != ' ') {
      columns[line[0]] = static_cast<std::size_t>(std::stoi(line.substr(3, 3)));
    } else if (label.starts_with("# / TYPES OF OBSERV") && line[5] != ' ') {
      columns2 = static_cast<std::size_t>(std::stoi(line.substr(0, 6)));
    }
  }
  Compressor to(old ? 1 : 3, order);
  if (old) {
    compress2(lines, at, columns2, to, out);
  } else {
    compress3(lines, at, columns, to, out);
  }
  return out;
}

}  // namespace stillpoint::rinex::test
