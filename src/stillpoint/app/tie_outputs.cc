#include "stillpoint/app/tie_outputs.h"

#include <nlohmann/json.hpp>
#include <string>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/locate_outputs.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/whole_file.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/tie_html.h"
#include "stillpoint/report/tie_json.h"
#include "stillpoint/report/tie_text.h"

namespace stillpoint::app {
int hand_out_tie(const TieArgs& args,
                 const solve::Solution& solution,
                 const report::TieContext& context,
                 bool json) {
  const LocateArgs& common = args.common;
  const std::string document =
      report::to_text(report::tie_json(solution, context));
  Status written = ok();
  if (!common.out.empty()) {
    written = write_whole_file(common.out, document);
  }
  if (written && !common.report.empty()) {
    written =
        write_whole_file(common.report, report::tie_html(solution, context));
  }
  if (!written) {
    report_error(written.error(), json);
    return kExitSystem;  // the input was good, the disk was not
  }
  const bool printed =
      print_data(json ? document : report::tie_text(solution, context));
  return printed ? exit_code_for(solution.status) : kExitSystem;
}

}  // namespace stillpoint::app
