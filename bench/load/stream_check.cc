#include "load/stream_check.h"

#include <algorithm>
#include <charconv>

namespace stillpoint::bench {
namespace {

constexpr std::size_t kMostHead = std::size_t{16} * 1024;

}  // namespace

void StreamCheck::head_ends() {
  // "ICY 200 OK" or "HTTP/1.1 200 OK"
  const std::size_t space = head_.find(' ');
  if (space != std::string::npos) {
    std::from_chars(
        head_.data() + space + 1, head_.data() + head_.size(), status_);
  }
  place_ = head_.find("\r\nTransfer-Encoding: chunked\r\n") != std::string::npos
               ? Place::kSize
               : Place::kBody;
  head_ = {};
}

// One byte of a line: "700\r\n" before a chunk, "\r\n" behind it.
void StreamCheck::take_line(std::uint8_t byte) {
  line_ += static_cast<char>(byte);
  if (byte != '\n') {
    faults_ += line_.size() > 32 ? 1U : 0U;
    return;
  }
  if (place_ == Place::kChunkEnd) {
    faults_ += line_ == "\r\n" ? 0U : 1U;
    place_ = Place::kSize;
  } else {
    const auto read = std::from_chars(
        line_.data(), line_.data() + line_.size(), chunk_left_, 16);
    faults_ += read.ec == std::errc{} ? 0U : 1U;
    place_ = chunk_left_ > 0 ? Place::kChunk : Place::kChunkEnd;
  }
  line_.clear();
}

void StreamCheck::feed(ByteSpan bytes, std::vector<Stamp>& stamps) {
  wire_bytes_ += bytes.size();
  while (!bytes.empty()) {
    switch (place_) {
      case Place::kHead:
        if (head_.size() < kMostHead) {
          head_ += static_cast<char>(bytes[0]);
        }
        bytes = bytes.subspan(1);
        if (head_.ends_with("\r\n\r\n")) {
          head_ends();
        }
        break;
      case Place::kBody:
        body(bytes, stamps);
        return;
      case Place::kChunk: {
        const ByteSpan part = bytes.first(std::min(bytes.size(), chunk_left_));
        chunk_left_ -= part.size();
        bytes = bytes.subspan(part.size());
        body(part, stamps);
        if (chunk_left_ == 0) {
          place_ = Place::kChunkEnd;
        }
        break;
      }
      case Place::kSize:
      case Place::kChunkEnd:
        take_line(bytes[0]);
        bytes = bytes.subspan(1);
        break;
    }
  }
}

void StreamCheck::body(ByteSpan bytes, std::vector<Stamp>& stamps) {
  body_bytes_ += bytes.size();
  pending_.insert(pending_.end(), bytes.begin(), bytes.end());
  ByteSpan left(pending_);
  while (left.size() >= 3) {
    const auto length = frame_length(left);
    if (!length) {
      ++faults_;
      left = left.subspan(1);
      continue;
    }
    if (left.size() < *length) {
      break;
    }
    const auto stamp = read_stamp(left.first(*length));
    if (!stamp || (any() && stamp->number != last_ + 1)) {
      ++faults_;
    }
    if (stamp) {
      first_ = any() ? first_ : stamp->number;
      last_ = stamp->number;
      frame_bytes_ = *length;
      ++frames_;
      stamps.push_back(*stamp);
    }
    left = left.subspan(*length);
  }
  pending_.erase(pending_.begin(),
                 pending_.end() - static_cast<std::ptrdiff_t>(left.size()));
}

}  // namespace stillpoint::bench
