// Test support: is a text well-formed as XML, as far as our pages use it?
#pragma once

#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::plot {

// Words of what is wrong first, empty if nothing is: tags that do not close in
// order, attributes that are unquoted or stand twice, bare < and &, ids that
// stand twice. A document type at the beginning is passed over.
//
//   source  XML 1.0 (fifth edition), sections 2.4, 3 and 3.1
class WellFormed {
 public:
  explicit WellFormed(std::string_view text) : text_(text) {}

  std::string complaint() {
    if (text_.starts_with("<!DOCTYPE html>")) {
      at_ = 15;
    }
    while (wrong_.empty() && at_ < text_.size()) {
      text_[at_] == '<' ? tag() : plain();
    }
    if (wrong_.empty() && !open_.empty()) {
      wrong_ = "never closed: " + open_.back();
    }
    return wrong_;
  }

 private:
  static bool is_name(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-' ||
           (c >= '0' && c <= '9') || c == ':';
  }

  std::string name() {
    const std::size_t begin = at_;
    while (at_ < text_.size() && is_name(text_[at_])) {
      ++at_;
    }
    return std::string(text_.substr(begin, at_ - begin));
  }

  void complain(const std::string& what) {
    wrong_ = what + " before: " + std::string(text_.substr(at_, 60));
  }

  bool take(std::string_view word) {
    if (text_.substr(at_).starts_with(word)) {
      at_ += word.size();
      return true;
    }
    return false;
  }

  void entity() {
    for (const char* known : {"&amp;", "&lt;", "&gt;", "&quot;", "&#39;"}) {
      if (take(known)) {
        return;
      }
    }
    complain("bare ampersand");
  }

  void plain() {
    if (text_[at_] == '&') {
      entity();
    } else {
      ++at_;
    }
  }

  void attribute(std::set<std::string>& seen) {
    const std::string key = name();
    if (key.empty() || !seen.insert(key).second || !take("=\"")) {
      complain("attribute " + key);
      return;
    }
    const std::size_t begin = at_;
    while (wrong_.empty() && at_ < text_.size() && text_[at_] != '"') {
      text_[at_] == '<' ? complain("bare <") : plain();
    }
    const std::string value(text_.substr(begin, at_ - begin));
    if (key == "id" && !ids_.insert(value).second) {
      complain("id twice: " + value);
    }
    if (wrong_.empty() && !take("\"")) {
      complain("open quote");
    }
  }

  void tag() {
    ++at_;
    const bool closing = take("/");
    const std::string element = name();
    if (element.empty()) {
      complain("bare <");
      return;
    }
    if (closing) {
      if (open_.empty() || open_.back() != element || !take(">")) {
        complain("closes what is not open: " + element);
        return;
      }
      open_.pop_back();
      return;
    }
    std::set<std::string> seen;
    while (wrong_.empty() && take(" ")) {
      attribute(seen);
    }
    if (wrong_.empty() && take(">")) {
      open_.push_back(element);
    } else if (wrong_.empty() && !take("/>")) {
      complain("tag " + element);
    }
  }

  std::string_view text_;
  std::size_t at_ = 0;
  std::vector<std::string> open_;
  std::set<std::string> ids_;
  std::string wrong_;
};

inline std::string xml_complaint(std::string_view text) {
  return WellFormed(text).complaint();
}

}  // namespace stillpoint::plot
