// Position records in the JSON documents of the verbs and of the console.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <span>

#include "stillpoint/datum/itrf_carry.h"
#include "stillpoint/report/candidates_compare.h"
#include "stillpoint/store/position_records.h"

namespace stillpoint::report {

// [{"code", "what", "size_m"}]
nlohmann::ordered_json warnings_json(std::span<const solve::Warning> warnings);

// {"id", "record", "at", "by", "why"}
nlohmann::ordered_json adoption_json(const Adoption& adoption);

// What a record is, without where: {"id", "method", "products", "origin",
// "source", "added", "by", "first", "end", "antenna", "delta_enu_m", "frame",
// "epoch", "point", "document_sha256", "program_version"}; null for what is not
// known.
nlohmann::ordered_json record_json(const StoredRecord& stored);

// A position that has been brought somewhere: {"frame", "epoch", "marker":
// {"ecef_m", "geodetic_deg_m"}, "arp": the same, "sigma_enu_m",
// "covariance_ecef_m2"}
nlohmann::ordered_json points_json(const FramedPosition& position,
                                   const std::array<double, 3>& delta_enu_m);

// {"frame", "epoch", "adopted", "best", "reference", "limit", "candidates",
// "warnings"}; the verb and the console add what is theirs.
nlohmann::ordered_json candidates_json(const CandidateTable& table);

}  // namespace stillpoint::report
