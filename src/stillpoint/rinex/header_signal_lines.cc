// The lines of a header that say what was observed: types, scale factors,
// phase shifts, GLONASS channels and biases.
#include <algorithm>
#include <set>
#include <utility>

#include "stillpoint/rinex/field_text.h"
#include "stillpoint/rinex/header_parser.h"

namespace stillpoint::rinex {
namespace {

using field::part;
using field::quoted;
using field::trim;
using field::upper;

constexpr std::size_t kMaxRows = 2'000;  // phase shifts, scale factors

tl::unexpected<Error> bad(std::string what) {
  return fail(ErrorCode::kBadHeader, std::move(what));
}

}  // namespace

Status HeaderParser::types2_line(std::string_view text) {
  if (header_.version >= 3) {
    return ok();
  }
  if (!trim(part(text, 0, 6)).empty()) {
    const auto count = field::integer(part(text, 0, 6));
    if (!count || *count < 1 || *count > static_cast<int>(kMaxColumns)) {
      return bad("the number of observation types cannot be read: " +
                 quoted(text));
    }
    types2_ = {*count, {}};
  } else if (types2_.announced < 0) {
    return bad("observation types continue, but none were begun");
  }
  for (std::size_t i = 0; i < 9 && !types2_.full(); ++i) {
    const auto type = trim(part(text, 10 + 6 * i, 2));
    if (!type.empty()) {
      types2_.types.emplace_back(upper(type));
    }
  }
  return ok();
}

Status HeaderParser::types3_line(std::string_view text) {
  if (header_.version < 3) {
    return ok();
  }
  if (!text.empty() && text[0] != ' ') {
    const auto system = system_from_letter(text[0]);
    const auto count = field::integer(part(text, 3, 3));
    if (!system) {
      return bad("unknown system in " + quoted(text));
    }
    if (!count || *count < 0 || *count > static_cast<int>(kMaxColumns)) {
      return bad("the number of observation types cannot be read: " +
                 quoted(text));
    }
    open_list_ = &types3_[static_cast<std::size_t>(*system)];
    *open_list_ = {*count, {}};
  } else if (open_list_ == nullptr) {
    return bad("observation types continue, but none were begun");
  }
  for (std::size_t i = 0; i < 13 && !open_list_->full(); ++i) {
    const auto type = trim(part(text, 7 + 4 * i, 3));
    if (!type.empty()) {
      open_list_->types.emplace_back(type);
    }
  }
  return ok();
}

Status HeaderParser::scale_line(std::string_view text) {
  if (header_.version < 3) {
    return ok();
  }
  if (!text.empty() && text[0] != ' ') {
    const auto system = system_from_letter(text[0]);
    const auto factor = field::integer(part(text, 2, 4));
    const auto count = trim(part(text, 8, 2));
    const auto announced = count.empty() ? 0 : field::integer(count);
    if (!system || !factor || *factor <= 0 || !announced) {
      return bad("the scale factor cannot be read: " + quoted(text));
    }
    if (scales_.size() >= kMaxRows) {
      return fail(ErrorCode::kTooLarge, "more than 2000 scale factors");
    }
    scales_.push_back({*system, static_cast<double>(*factor), *announced, {}});
  } else if (scales_.empty()) {
    return bad("scale factors continue, but none were begun");
  }
  ScaleFactor& scale = scales_.back();
  for (std::size_t i = 0; i < 12; ++i) {
    if (static_cast<int>(scale.types.size()) < scale.announced) {
      scale.types.emplace_back(trim(part(text, 11 + 4 * i, 3)));
    }
  }
  return ok();
}

void HeaderParser::phase_shift_line(std::string_view text) {
  const bool continues = trim(part(text, 0, 18)).empty();
  if (!continues) {
    shift_satellites_left_ = 0;
    const auto system = system_from_letter(text[0]);
    const auto type = trim(part(text, 2, 3));
    if (!system || type.size() != 3 ||
        header_.phase_shifts.size() >= kMaxRows) {
      return;  // the system alone: not known
    }
    PhaseShift shift;
    shift.system = *system;
    shift.signal = column_of_type3(*system, type, header_.version).signal;
    shift.cycles = field::real(part(text, 6, 8)).value_or(0);
    shift_satellites_left_ = static_cast<std::size_t>(
        std::clamp(field::integer(part(text, 16, 2)).value_or(0), 0, 99));
    header_.phase_shifts.push_back(std::move(shift));
  }
  for (std::size_t i = 0; i < 10 && shift_satellites_left_ > 0; ++i) {
    const auto sat = parse_satellite(part(text, 19 + 4 * i, 3));
    if (sat) {
      header_.phase_shifts.back().satellites.push_back(*sat);
    }
    --shift_satellites_left_;
  }
}

void HeaderParser::glonass_slot_line(std::string_view text) {
  for (std::size_t i = 0; i < 8; ++i) {
    const auto sat = parse_satellite(part(text, 4 + 7 * i, 3));
    const auto channel = field::integer(part(text, 8 + 7 * i, 2));
    if (sat && channel && *channel >= -7 && *channel <= 13) {
      header_.glonass_channels[*sat] = *channel;
    }
  }
}

void HeaderParser::glonass_bias_line(std::string_view text) {
  for (std::size_t i = 0; i < 4; ++i) {
    const auto type = trim(part(text, 1 + 13 * i, 3));
    const auto bias = field::real(part(text, 5 + 13 * i, 8));
    if (type.size() == 3 && bias) {
      header_.glonass_bias_m[SignalCode{type[1], type[2]}] = *bias;
    }
  }
}

Status HeaderParser::build_columns(System system) {
  const auto index = static_cast<std::size_t>(system);
  std::vector<Column>& built = all_columns_[index];
  built.clear();
  if (header_.version < 3) {
    built = columns_of_types2(system, types2_.types);
  } else {
    const TypeList& list = types3_[index];
    if (list.announced >= 0 && !list.full()) {
      return bad(std::string(system_name(system)) + ": " +
                 std::to_string(list.announced) + " types announced, " +
                 std::to_string(list.listed()) + " listed");
    }
    for (const std::string& type : list.types) {
      built.push_back(column_of_type3(system, type, header_.version));
    }
  }
  std::set<SignalCode> signals;
  for (Column& column : built) {
    signals.insert(column.signal);
    for (const ScaleFactor& scale : scales_) {
      const auto& types = scale.types;
      const bool named =
          types.empty() ||
          std::find(types.begin(), types.end(), column.code) != types.end();
      if (scale.system == system && named) {
        column.scale = scale.factor;
      }
    }
  }
  if (signals.size() > kMaxSignals) {
    return fail(ErrorCode::kTooLarge,
                "more than 64 signals of one system in the header");
  }
  return ok();
}

}  // namespace stillpoint::rinex
