#include "stillpoint/gnss/broadcast.h"

#include <algorithm>
#include <array>
#include <tuple>
#include <utility>

namespace stillpoint {
namespace {

// The lower, the sooner a message is used. Galileo F/NAV stands before I/NAV
// by its value here and by the reason in broadcast.h.
int preference(NavMessage m) {
  switch (m) {
    case NavMessage::kLnav:
    case NavMessage::kFnav:
    case NavMessage::kD1:
    case NavMessage::kD2:
    case NavMessage::kFdma:
    case NavMessage::kSbas:
      return 0;
    case NavMessage::kInav:
    case NavMessage::kCnav:
    case NavMessage::kBcnav1:
      return 1;
    case NavMessage::kCnav2:
    case NavMessage::kBcnav2:
      return 2;
    case NavMessage::kBcnav3:
      return 3;
  }
  return 4;
}

// A Galileo set ages four times as fast before its reference time: its fit
// begins there, so an older set is the better one.
double distance_s(const KeplerEphemeris& e, GnssTime t) {
  const double age = (t - e.toe).s;
  if (age >= 0) {
    return age;
  }
  return e.sat.system == System::kGalileo ? -4 * age : -age;
}

double distance_s(const StateEphemeris& e, GnssTime t) {
  const double age = (t - e.toe).s;
  return age < 0 ? -age : age;
}

auto identity(const KeplerEphemeris& e) {
  return std::tuple(
      e.toe, e.toc, e.iode, e.iodc, e.health, e.m0_rad, e.af0_s, e.af1_s_per_s);
}

auto identity(const StateEphemeris& e) {
  return std::tuple(e.toe,
                    e.issue,
                    e.health,
                    e.channel,
                    e.position_m.x_m,
                    e.position_m.z_m,
                    e.clock_s);
}

GnssTime sent_at(const KeplerEphemeris& e) {
  return e.transmitted.value_or(e.toe);
}

GnssTime sent_at(const StateEphemeris& e) {
  return e.transmitted.value_or(e.toe);
}

// Sets of one satellite and one message by reference time; of several with
// the same one the set sent last comes last.
template <class Ephemeris>
class Track {
 public:
  explicit Track(NavMessage message) : message_(message) {}

  [[nodiscard]] NavMessage message() const { return message_; }
  void append(const Ephemeris& e) { sets_.push_back(e); }
  void arrange();

  // The set to use at t; nothing when none is near enough.
  [[nodiscard]] const Ephemeris* choose(GnssTime t) const;
  // Whether the satellite called itself healthy at t, as far as the chosen
  // set and those sent since then tell.
  [[nodiscard]] bool healthy(const Ephemeris* chosen, GnssTime t) const;
  [[nodiscard]] const Ephemeris& last() const { return sets_.back(); }

 private:
  NavMessage message_;
  std::vector<Ephemeris> sets_;
  std::vector<GnssTime> toe_;  // of sets_, for a search in few cache lines
};

template <class Ephemeris>
void Track<Ephemeris>::arrange() {
  std::stable_sort(
      sets_.begin(), sets_.end(), [](const Ephemeris& a, const Ephemeris& b) {
        return std::tuple(identity(a), sent_at(a)) <
               std::tuple(identity(b), sent_at(b));
      });
  sets_.erase(std::unique(sets_.begin(),
                          sets_.end(),
                          [](const Ephemeris& a, const Ephemeris& b) {
                            return identity(a) == identity(b);
                          }),
              sets_.end());
  std::stable_sort(
      sets_.begin(), sets_.end(), [](const Ephemeris& a, const Ephemeris& b) {
        return std::tuple(a.toe, sent_at(a)) < std::tuple(b.toe, sent_at(b));
      });
  toe_.clear();
  for (const Ephemeris& e : sets_) {
    toe_.push_back(e.toe);
  }
}

template <class Ephemeris>
const Ephemeris* Track<Ephemeris>::choose(GnssTime t) const {
  // The last set not after t, and the last of those with the next toe.
  const auto after = std::upper_bound(toe_.begin(), toe_.end(), t);
  const Ephemeris* best = nullptr;
  double best_s = 0;
  const auto consider = [&](std::ptrdiff_t i) {
    const Ephemeris& e = sets_[static_cast<std::size_t>(i)];
    const double away = distance_s(e, t);
    if (away <= validity_s(e) && (best == nullptr || away < best_s)) {
      best = &e;
      best_s = away;
    }
  };
  if (after != toe_.begin()) {
    consider(after - toe_.begin() - 1);
  }
  if (after != toe_.end()) {
    auto last = after;
    while (last + 1 != toe_.end() && *(last + 1) == *after) {
      ++last;
    }
    consider(last - toe_.begin());
  }
  return best;
}

template <class Ephemeris>
bool Track<Ephemeris>::healthy(const Ephemeris* chosen, GnssTime t) const {
  const Ephemeris* newest = chosen;
  const Ephemeris* const end = sets_.data() + sets_.size();
  for (const Ephemeris* e = chosen + 1; e != end && sent_at(*e) <= t; ++e) {
    newest = e;
  }
  return is_healthy(*chosen) && is_healthy(*newest);
}

struct Satellite {
  std::vector<Track<KeplerEphemeris>> kepler;
  std::vector<Track<StateEphemeris>> state;
};

template <class Ephemeris>
void put(std::vector<Track<Ephemeris>>& tracks, const Ephemeris& e) {
  auto it = std::find_if(
      tracks.begin(), tracks.end(), [&e](const Track<Ephemeris>& track) {
        return track.message() == e.message;
      });
  if (it == tracks.end()) {
    it = std::upper_bound(tracks.begin(),
                          tracks.end(),
                          preference(e.message),
                          [](int p, const Track<Ephemeris>& track) {
                            return p < preference(track.message());
                          });
    it = tracks.insert(it, Track<Ephemeris>(e.message));
  }
  it->append(e);
}

template <class Ephemeris>
struct Choice {
  const Ephemeris* set = nullptr;
  bool healthy = false;
};

template <class Ephemeris>
Choice<Ephemeris> choose(const std::vector<Track<Ephemeris>>& tracks,
                         GnssTime t) {
  for (const Track<Ephemeris>& track : tracks) {
    if (const Ephemeris* set = track.choose(t)) {
      return {set, track.healthy(set, t)};
    }
  }
  return {};
}

template <class T>
void keep_first(std::optional<T>& mine, const std::optional<T>& theirs) {
  if (!mine) {
    mine = theirs;
  }
}

bool is_numbered(SatId sat) {
  return sat.number >= 1 && sat.number <= 99;
}

bool has_kepler(System s) {
  return s != System::kGlonass && s != System::kSbas;
}

// Delay of a signal with the help of another message of the same satellite:
// CNAV beside LNAV and B-CNAV beside D1, whose clocks refer to the same
// signals; for Galileo the BGD that F/NAV does not carry.
std::optional<double> delay_with_other_tracks(
    const std::vector<Track<KeplerEphemeris>>& tracks,
    const KeplerEphemeris& used,
    GnssTime t,
    SignalCode signal) {
  for (const Track<KeplerEphemeris>& track : tracks) {
    const KeplerEphemeris* other =
        track.message() == used.message ? nullptr : track.choose(t);
    if (other == nullptr) {
      continue;
    }
    std::optional<double> delay;
    if (used.sat.system == System::kGalileo) {
      KeplerEphemeris whole = used;
      whole.group_delay_s[1] = other->group_delay_s[1];
      delay = group_delay_s(whole, signal);
    } else {
      delay = group_delay_s(*other, signal);
    }
    if (delay) {
      return delay;
    }
  }
  return std::nullopt;
}

}  // namespace

struct BroadcastOrbits::Store {
  std::array<std::optional<Satellite>, SatId::kIndexCount> satellites;
  IonosphereParameters ionosphere;

  Satellite& at(SatId sat) {
    std::optional<Satellite>& slot =
        satellites[static_cast<std::size_t>(sat.index())];
    if (!slot) {
      slot.emplace();
    }
    return *slot;
  }
  [[nodiscard]] const Satellite* find(SatId sat) const {
    if (!is_numbered(sat)) {
      return nullptr;
    }
    const auto& slot = satellites[static_cast<std::size_t>(sat.index())];
    return slot ? &*slot : nullptr;
  }
};

BroadcastOrbits::BroadcastOrbits() : store_(std::make_unique<Store>()) {}
BroadcastOrbits::~BroadcastOrbits() = default;
BroadcastOrbits::BroadcastOrbits(BroadcastOrbits&&) noexcept = default;
BroadcastOrbits& BroadcastOrbits::operator=(BroadcastOrbits&&) noexcept =
    default;

void BroadcastOrbits::add(const NavigationData& data) {
  std::array<bool, SatId::kIndexCount> touched{};
  for (const KeplerEphemeris& e : data.kepler) {
    if (is_numbered(e.sat) && has_kepler(e.sat.system) && is_plausible(e)) {
      put(store_->at(e.sat).kepler, e);
      touched[static_cast<std::size_t>(e.sat.index())] = true;
    }
  }
  for (const StateEphemeris& e : data.state) {
    if (is_numbered(e.sat) && !has_kepler(e.sat.system) && is_plausible(e)) {
      put(store_->at(e.sat).state, e);
      touched[static_cast<std::size_t>(e.sat.index())] = true;
    }
  }
  for (std::size_t i = 0; i < touched.size(); ++i) {
    if (!touched[i]) {
      continue;
    }
    for (auto& track : store_->satellites[i]->kepler) {
      track.arrange();
    }
    for (auto& track : store_->satellites[i]->state) {
      track.arrange();
    }
  }
  IonosphereParameters& mine = store_->ionosphere;
  keep_first(mine.gps, data.ionosphere.gps);
  keep_first(mine.beidou, data.ionosphere.beidou);
  keep_first(mine.qzss, data.ionosphere.qzss);
  keep_first(mine.navic, data.ionosphere.navic);
  keep_first(mine.galileo, data.ionosphere.galileo);
}

tl::expected<SatelliteState, NoState> BroadcastOrbits::state(SatId sat,
                                                             GnssTime t) const {
  const Satellite* s = store_->find(sat);
  if (s == nullptr) {
    return tl::unexpected(NoState::kUnknownSatellite);
  }
  const auto answer =
      [t](const auto& choice) -> tl::expected<SatelliteState, NoState> {
    if (choice.set == nullptr) {
      return tl::unexpected(NoState::kOutsideValidity);
    }
    if (!choice.healthy) {
      return tl::unexpected(NoState::kUnhealthy);
    }
    return evaluate(*choice.set, t);
  };
  return has_kepler(sat.system) ? answer(choose(s->kepler, t))
                                : answer(choose(s->state, t));
}

std::optional<double> BroadcastOrbits::group_delay_s(SatId sat,
                                                     GnssTime t,
                                                     SignalCode signal) const {
  const Satellite* s = store_->find(sat);
  if (s == nullptr) {
    return std::nullopt;
  }
  if (!has_kepler(sat.system)) {
    const StateEphemeris* set = choose(s->state, t).set;
    return set == nullptr ? std::nullopt
                          : stillpoint::group_delay_s(*set, signal);
  }
  const KeplerEphemeris* set = choose(s->kepler, t).set;
  if (set == nullptr) {
    return std::nullopt;
  }
  const auto delay = stillpoint::group_delay_s(*set, signal);
  return delay ? delay : delay_with_other_tracks(s->kepler, *set, t, signal);
}

std::optional<int> BroadcastOrbits::glonass_channel(SatId sat) const {
  const Satellite* s = store_->find(sat);
  if (s == nullptr || sat.system != System::kGlonass || s->state.empty()) {
    return std::nullopt;
  }
  return s->state.front().last().channel;
}

const IonosphereParameters& BroadcastOrbits::ionosphere() const {
  return store_->ionosphere;
}

int BroadcastOrbits::satellite_count(System system) const {
  const auto first = static_cast<std::size_t>(SatId{system, 0}.index());
  int count = 0;
  for (std::size_t i = first; i < first + 100; ++i) {
    count += store_->satellites[i].has_value() ? 1 : 0;
  }
  return count;
}

}  // namespace stillpoint
