#include "stillpoint/plot/style.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/core/check.h"

namespace stillpoint::plot {
namespace {

constexpr const char* kLight =
    "--plot-paper:#fff;--plot-ink:#22272e;--plot-axis:#6b737d;--plot-grid:#"
    "dfe3e8;"
    "--plot-a:#1f5f99;--plot-b:#94650a;--plot-c:#5d5470;--plot-mark:#8a3b72;"
    "--plot-v0:#1d4e7a;--plot-v1:#3f76a6;--plot-v2:#7aa5c8;--plot-v3:#b6cfe2;"
    "--plot-v4:#ecece6;--plot-v5:#ecd9ad;--plot-v6:#d9b566;--plot-v7:#b98a2b;"
    "--plot-v8:#85600e;--plot-sign:#fff;";

constexpr const char* kDark =
    "--plot-paper:#14181d;--plot-ink:#dde3ea;--plot-axis:#8d97a3;--plot-grid:#"
    "343b44;"
    "--plot-a:#7ab8ec;--plot-b:#e3b657;--plot-c:#c3b6dd;--plot-mark:#e59ccb;"
    "--plot-v0:#a3d0f2;--plot-v1:#62a0d0;--plot-v2:#3f6f98;--plot-v3:#2f4a63;"
    "--plot-v4:#2c3138;--plot-v5:#4d4228;--plot-v6:#7d6629;--plot-v7:#b6933a;"
    "--plot-v8:#efcf7d;--plot-sign:#14181d;";

constexpr const char* kRules =
    ".plot{display:block;width:100%;height:auto;max-width:45rem}"
    ".plot text{font:13px system-ui,sans-serif;fill:var(--plot-ink)}"
    ".plot .head{font-weight:600;font-size:16px}"
    ".plot path{fill:none}.plot .fill{fill:inherit}"
    ".plot .axis{stroke:var(--plot-axis)}"
    ".plot .grid{stroke:var(--plot-grid)}"
    ".plot .ring{stroke:var(--plot-axis);stroke-opacity:.5}"
    ".plot .halo{paint-order:stroke;stroke:var(--plot-paper);stroke-width:3px}"
    ".plot .la{stroke:var(--plot-a);stroke-width:2}"
    ".plot .lb{stroke:var(--plot-b);stroke-width:2;stroke-dasharray:7 3}"
    ".plot .lc{stroke:var(--plot-c);stroke-width:2;stroke-dasharray:2 3}"
    ".plot .ba{fill:var(--plot-a);fill-opacity:.2}"
    ".plot .bb{fill:var(--plot-b);fill-opacity:.2}"
    ".plot .bc{fill:var(--plot-c);fill-opacity:.2}"
    ".plot .da,.plot .db,.plot .dc{stroke-width:4;stroke-linecap:round}"
    ".plot .da,.plot .pa{stroke:var(--plot-a)}"
    ".plot .db,.plot .pb{stroke:var(--plot-b)}"
    ".plot .dc,.plot .pc{stroke:var(--plot-c)}"
    ".plot .q1{stroke-opacity:.4}.plot .q2{stroke-opacity:.6}"
    ".plot .q3{stroke-opacity:.8}"
    ".plot .mark{stroke:var(--plot-mark);stroke-width:1.5}"
    ".plot .over{fill:var(--plot-ink)}"
    ".plot .sign{stroke:var(--plot-sign);stroke-width:1.5}"
    "@media(max-width:600px){.plot text{font-size:20px}"
    ".plot .head{font-size:22px}}";

}  // namespace

char series_letter(Series series) {
  return static_cast<char>('a' + static_cast<int>(series));
}

int value_step(double value, double limit) {
  STILLPOINT_CHECK(limit > 0 && std::isfinite(value));
  constexpr int kMiddle = kValueSteps / 2;
  const double share = std::clamp(value / limit, -1.0, 1.0);
  return kMiddle + static_cast<int>(std::lround(share * kMiddle));
}

std::string style() {
  std::string out = ":root{";
  out += kLight;
  out += "}@media(prefers-color-scheme:dark){:root{";
  out += kDark;
  out += "}}";
  out += kRules;
  for (char step = '0'; step < '0' + kValueSteps; ++step) {
    out += ".plot .v";
    out += step;
    out += "{fill:var(--plot-v";
    out += step;
    out += ")}";
  }
  return out;
}

}  // namespace stillpoint::plot
