#include "stillpoint/rinex/line_source.h"

#include <utility>

namespace stillpoint::rinex {

class LineSource::Tail final : public ByteStream {
 public:
  explicit Tail(std::unique_ptr<ByteStream> stream)
      : stream_(std::move(stream)) {
    const auto whole = stream_->in_memory();
    if (!whole.empty()) {  // its reader never asks for more
      last_ = whole.back();
      ended_ = true;
    }
  }

  Result<std::size_t> read(std::span<char> into) override {
    Result<std::size_t> got = stream_->read(into);
    if (got && *got > 0) {
      last_ = into[*got - 1];
    } else {
      ended_ = true;
    }
    return got;
  }
  [[nodiscard]] std::span<const char> in_memory() const override {
    return stream_->in_memory();
  }
  [[nodiscard]] const std::string& name() const override {
    return stream_->name();
  }
  [[nodiscard]] bool ends_inside_line() const {
    return ended_ && last_ != '\n';
  }

 private:
  std::unique_ptr<ByteStream> stream_;
  char last_ = '\n';
  bool ended_ = false;
};

LineSource::LineSource(std::unique_ptr<ByteStream> stream)
    : tail_(new Tail(std::move(stream))),
      reader_(std::unique_ptr<ByteStream>(tail_)) {}

bool LineSource::last_line_is_cut() {
  if (pushed_ || !tail_->ends_inside_line()) {
    return false;
  }
  std::string_view line;
  const Result<bool> got = next(line);
  if (!got) {
    return false;  // something follows; the next reading says what is wrong
  }
  if (*got) {
    push_back();
    return false;
  }
  return true;
}

std::string LineSource::where(std::size_t number) const {
  return reader_.name() + ":" + std::to_string(number);
}

}  // namespace stillpoint::rinex
