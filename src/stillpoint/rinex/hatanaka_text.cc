#include "stillpoint/rinex/hatanaka_text.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/rinex/field_text.h"
#include "stillpoint/rinex/hatanaka_core.h"
#include "stillpoint/rinex/reader_state.h"

namespace stillpoint::rinex {
namespace {

constexpr std::size_t kFieldsPerLine2 = 5;
constexpr std::size_t kSatellitesPerLine2 = 12;

// A whole number of 10^-decimals as Fortran's Fwidth.decimals, with a zero
// before the point.
void append_fixed(std::string& line,
                  std::int64_t value,
                  std::size_t width,
                  int decimals) {
  std::array<char, 24> text{};
  std::size_t at = text.size();
  auto rest = static_cast<std::uint64_t>(std::abs(value));
  for (int digit = 0; digit <= decimals || rest != 0; ++digit) {
    if (digit == decimals) {
      text[--at] = '.';
    }
    text[--at] = static_cast<char>('0' + rest % 10);
    rest /= 10;
  }
  if (value < 0) {
    text[--at] = '-';
  }
  const std::size_t size = text.size() - at;
  line.append(width > size ? width - size : 0, ' ');
  line.append(text.data() + at, size);
}

}  // namespace

class HatanakaText::Impl {
 public:
  explicit Impl(std::unique_ptr<ByteStream> stream)
      : lines_(std::move(stream)), core_(3) {}

  Status open() {
    Result<int> version = read_compression(lines_);
    if (!version) {
      return fail(std::move(version.error()));
    }
    if (*version == 0) {
      return fail(ErrorCode::kBadFormat,
                  "the file is not Hatanaka-compressed",
                  lines_.where());
    }
    version_ = *version;
    core_ = HatanakaCore(version_);
    return ok();
  }

  Result<bool> next(std::string_view& line) {
    if (failed_) {
      return fail(*failed_);
    }
    while (given_ == count_) {
      given_ = count_ = 0;
      Result<bool> got = header_.ended() ? read_record() : read_header_line();
      if (!got) {
        failed_ = got.error();
        return got;
      }
      if (!*got) {
        return false;
      }
    }
    std::string& out = out_[given_++];
    out.resize(field::trim_right(out).size());
    line = out;
    return true;
  }

 private:
  tl::unexpected<Error> damaged(std::string what) {
    return fail(ErrorCode::kBadFormat, std::move(what), lines_.where());
  }

  // A fresh line of output; memory is reused.
  std::string& add_line() {
    if (count_ == out_.size()) {
      out_.emplace_back();
    }
    std::string& line = out_[count_++];
    line.clear();
    return line;
  }

  // A line that must be there.
  Status need_line() {
    Result<bool> got = lines_.next(line_);
    if (!got) {
      return fail(std::move(got.error()));
    }
    if (!*got) {
      return fail(ErrorCode::kTruncated,
                  "the file ends inside a record",
                  lines_.where());
    }
    return ok();
  }

  Result<bool> read_header_line() {
    Status status = need_line();
    if (status) {
      add_line() = line_;
      status = header_.line(line_);
    }
    if (status && header_.ended()) {
      status = header_.finish();
      heads_ =
          EpochHeadParser(header_.header().version, header_.header().scale);
    }
    if (!status) {
      status.error().where = lines_.where();
      return fail(std::move(status.error()));
    }
    return true;
  }

  Result<bool> read_record() {
    Result<bool> got = lines_.next(line_);
    if (!got || !*got) {
      return got;
    }
    const char* wrong = core_.take_head(line_, heads_, head_);
    if (wrong != nullptr) {
      return damaged(wrong);
    }
    Status status = head_.flag >= 2 ? copy_event() : read_epoch();
    if (!status) {
      return fail(std::move(status.error()));
    }
    return true;
  }

  Status copy_event() {
    add_line() = core_.head_text();
    header_.begin_update();
    for (int i = 0; i < head_.count; ++i) {
      Status status = need_line();
      if (!status) {
        return status;
      }
      add_line() = line_;
      if (head_.flag <= 4) {
        status = header_.line(line_);
      }
      if (!status) {
        return damaged(status.error().what);
      }
    }
    const Status finished = header_.finish();
    heads_.set_scale(header_.header().scale);
    return finished ? ok() : damaged(finished.error().what);
  }

  Status read_epoch() {
    Status status = need_line();
    if (!status) {
      return status;
    }
    const char* wrong = core_.take_clock(line_);
    if (wrong != nullptr) {
      return damaged(wrong);
    }
    if (version_ == 1) {
      add_head_version2();
    } else {
      std::string& line = add_line();
      line = field::part(core_.head_text(), 0, 41);
      if (core_.clock()) {
        append_fixed(line, *core_.clock(), 15, 12);
      }
    }
    for (int i = 0; i < head_.count; ++i) {
      status = read_satellite(core_.satellite_text(i));
      if (!status) {
        return status;
      }
    }
    if (lines_.last_line_is_cut()) {
      return fail(ErrorCode::kTruncated,
                  "the file ends inside this line",
                  lines_.where());
    }
    return ok();
  }

  void add_head_version2() {
    std::size_t count = static_cast<std::size_t>(head_.count);
    const std::string_view satellites =
        field::part(core_.head_text(), 32, 3 * count);
    constexpr std::size_t kWidth = 3 * kSatellitesPerLine2;
    std::string& first = add_line();
    first = field::part(core_.head_text(), 0, 32);
    first += field::part(satellites, 0, kWidth);
    if (core_.clock()) {
      first.resize(68, ' ');
      append_fixed(first, *core_.clock(), 12, 9);
    }
    for (std::size_t at = kWidth; at < satellites.size(); at += kWidth) {
      std::string& line = add_line();
      line.assign(32, ' ');
      line += field::part(satellites, at, kWidth);
    }
  }

  Status read_satellite(std::string_view text) {
    Status status = need_line();
    if (!status) {
      return status;
    }
    const char system = header_.header().system;
    const auto sat = parse_satellite(text, system == 'M' ? 'G' : system);
    if (!sat) {
      return damaged("'" + std::string(text) + "' is not a satellite");
    }
    const std::size_t columns = header_.columns(sat->system).size();
    if (columns == 0) {
      return damaged("the header lists no types for " + sat->text());
    }
    const char* wrong = core_.take_satellite(*sat, columns, line_);
    if (wrong != nullptr || core_.lost()) {
      return damaged("satellite " + sat->text() + ": " +
                     (wrong != nullptr ? wrong : "comes twice"));
    }
    std::string* line = nullptr;
    if (version_ != 1) {
      line = &add_line();
      *line = text;
    }
    for (std::size_t i = 0; i < columns; ++i) {
      if (version_ == 1 && i % kFieldsPerLine2 == 0) {
        line = &add_line();
      }
      const std::int64_t value = core_.values()[i];
      if (value == HatanakaCore::kAbsent) {
        line->append(14, ' ');
      } else {
        append_fixed(*line, value, 14, 3);
      }
      line->append(core_.flags(), 2 * i, 2);
    }
    return ok();
  }

  LineSource lines_;
  HatanakaCore core_;
  int version_ = 3;
  HeaderParser header_;
  EpochHeadParser heads_{3, TimeScale::kGps};
  EpochHead head_;
  std::string_view line_;
  std::vector<std::string> out_;
  std::size_t given_ = 0, count_ = 0;
  std::optional<Error> failed_;
};

HatanakaText::HatanakaText(std::unique_ptr<Impl> impl)
    : impl_(std::move(impl)) {}
HatanakaText::HatanakaText(HatanakaText&&) noexcept = default;
HatanakaText& HatanakaText::operator=(HatanakaText&&) noexcept = default;
HatanakaText::~HatanakaText() = default;

Result<HatanakaText> HatanakaText::open(std::unique_ptr<ByteStream> stream) {
  auto impl = std::make_unique<Impl>(std::move(stream));
  Status status = impl->open();
  if (!status) {
    return fail(std::move(status.error()));
  }
  return HatanakaText(std::move(impl));
}

Result<bool> HatanakaText::next(std::string_view& line) {
  return impl_->next(line);
}

}  // namespace stillpoint::rinex
