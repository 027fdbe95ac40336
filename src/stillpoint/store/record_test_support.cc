#include "stillpoint/store/record_test_support.h"

#include "stillpoint/store/store_test_support.h"

namespace stillpoint::test {

PositionRecord record_of_document(char digit) {
  PositionRecord record;
  record.origin = RecordOrigin::kImported;
  record.method = "ppp-fixed";
  record.position = {{4281245.1234, 671234.5678, 4665123.4321},
                     {"IGS20"},
                     at_second(-43'200),
                     {9e-6, 1e-6, -2e-6, 1e-6, 4e-6, 5e-7, -2e-6, 5e-7, 1e-5},
                     Point::kMarker};
  record.antenna_type = "SPDEMO-A1 NONE";
  record.delta_enu_m = {0, 0, 0.125};
  record.products = "final";
  record.first = at_second(-86'400);
  record.end = at_second(0);
  record.document = std::string("{\n  \"digit\": \"") + digit + "\"\n}\n";
  record.document_sha256 = std::string(64, digit);
  record.program_version = "0.1.0";
  return record;
}

PositionRecord record_by_hand() {
  PositionRecord record;
  record.origin = RecordOrigin::kByHand;
  record.method = "by-hand";
  record.position = {{4281245.5, 671234.25, 4665123.75},
                     {"ETRF2000"},
                     at_second(0),
                     {1e-4, 0, 0, 0, 1e-4, 0, 0, 0, 4e-4},
                     Point::kArp};
  record.source = "the cooperative's surveyor, letter of the spring";
  return record;
}

}  // namespace stillpoint::test
