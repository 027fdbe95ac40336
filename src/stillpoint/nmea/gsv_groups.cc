#include "stillpoint/nmea/gsv_groups.h"

#include <algorithm>
#include <utility>

namespace stillpoint::nmea {

std::vector<GsvGroups::Open>::iterator GsvGroups::find(const Gsv& sentence) {
  return std::find_if(open_.begin(), open_.end(), [&](const Open& open) {
    return open.group.talker == sentence.talker &&
           open.group.signal_id == sentence.signal_id;
  });
}

void GsvGroups::drop(std::vector<Open>::iterator open) {
  open_.erase(open);
  ++incomplete_;
}

std::optional<GsvGroup> GsvGroups::add(const Gsv& sentence) {
  auto open = find(sentence);
  if (sentence.index == 1) {
    if (open != open_.end()) {
      drop(open);
    }
    if (sentence.total > kMaxSentences) {
      ++incomplete_;
      return std::nullopt;
    }
    if (open_.size() == kMaxOpen) {
      drop(open_.begin());
    }
    open = open_.insert(
        open_.end(),
        {{sentence.talker, sentence.signal_id, sentence.satellites_in_view, {}},
         sentence.total,
         1});
  } else if (open == open_.end()) {
    ++incomplete_;
    return std::nullopt;
  } else if (sentence.index != open->next || sentence.total != open->total) {
    drop(open);
    return std::nullopt;
  }
  auto& list = open->group.satellites;
  list.insert(
      list.end(), sentence.satellites.begin(), sentence.satellites.end());
  if (open->next++ < open->total) {
    return std::nullopt;
  }
  GsvGroup whole = std::move(open->group);
  open_.erase(open);
  return whole;
}

}  // namespace stillpoint::nmea
