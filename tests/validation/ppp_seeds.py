"""Does the phase solution find the truth of the simulated world, and does it
know how well?

usage: ppp_seeds.py SEEDS [--jobs N] [--first N] [--program P] [--scenario S]
                          [--start T] [--end T] [--only E…] [--without TERM…]

For every seed: `simulate` one receiver and its products into a temporary
folder, `locate --method ppp` with all of them, difference of the positions in
east, north and up, over sigma_without_calibration_enu_m (the simulated antenna
is calibrated exactly). A table by seed, then the shares within one and two
sigmas of all components and of each, with their 95 % intervals
(Wilson: E. B. Wilson, JASA 22 (1927), p. 209; from memory).

Judged are, as the project's own aims:
  * every seed within 3 mm horizontally and 6 mm up;
  * 62 to 75 % of the components within one sigma and 92 to 98 % within two:
    a normal law has 68.3 and 95.4 %.
A share only fails when its whole interval lies outside the range: few seeds
cannot tell more. Each component is judged as well as all together: one that is
surer than it says hides one that is less sure. The three components of one
seed count as independent, which makes the interval of all a little too narrow.
What all seeds share, as sky and reflectors, moves the mean and not the spread:
then the shares say little about sigma, and the table of moments has to be read.

Exit: 0 all within, 1 not, 2 a program failed or the usage is wrong.
"""
import argparse
import concurrent.futures
import json
import math
import pathlib
import re
import subprocess
import sys
import tempfile
import time
import tomllib

ROOT = pathlib.Path(__file__).resolve().parents[2]
HORIZONTAL_MM, UP_MM = 3.0, 6.0
RANGES = {1: (0.62, 0.75), 2: (0.92, 0.98)}
# GRS80 (Moritz, J. Geodesy 74 (2000), p. 128): half axis [m] and flattening.
AXIS_M, FLATTENING = 6378137.0, 1 / 298.257222101
TRUTH = re.compile(r"marker truly at (\S+) (\S+) (\S+) m")


class Failed(Exception):
    """A program did not do what it was asked; says which, and its words."""


def run(command):
    done = subprocess.run(command, capture_output=True, text=True)
    if done.returncode not in (0, 1):
        raise Failed(f"{' '.join(command)}\nexit {done.returncode}\n"
                     f"{done.stderr or done.stdout}")
    return done.stdout


def local(difference, place):
    """East, north and up of a difference at a place, both Earth-fixed."""
    x, y, z = place
    square = FLATTENING * (2 - FLATTENING)
    flat, lon = math.hypot(x, y), math.atan2(y, x)
    lat = math.atan2(z, flat * (1 - square))
    for _ in range(5):
        normal = AXIS_M / math.sqrt(1 - square * math.sin(lat) ** 2)
        lat = math.atan2(z + square * normal * math.sin(lat), flat)
    dx, dy, dz = difference
    outward = dx * math.cos(lon) + dy * math.sin(lon)
    return (dy * math.cos(lon) - dx * math.sin(lon),
            dz * math.cos(lat) - outward * math.sin(lat),
            outward * math.cos(lat) + dz * math.sin(lat))


def write_loading(receiver, path):
    """The scenario's own loading in the columns that `locate` reads (BLQ); the
    simulator writes no such file. False: the receiver has none."""
    loading = receiver.get("loading")
    if not loading:
        return False
    lines = ["$$ from the scenario", "  " + receiver["name"][:4]]
    for what, factor in (("mm", 1e-3), ("deg", 1)):
        for axis in ("up", "west", "south"):
            values = loading[f"{axis}_{what}"]
            lines.append(" ".join(f"{v * factor:.5f}" for v in values))
    path.write_text("\n".join(lines) + "\n")
    return True


def one_seed(seed, args, receiver):
    begun = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="ppp_seeds_") as name:
        folder = pathlib.Path(name)
        command = [args.program, "simulate", str(args.scenario), "--rinex",
                   "--products", "--seed", str(seed), "--receiver",
                   receiver["name"], "--start", args.start, "--end", args.end,
                   "--interval", "30", "--out", name]
        if args.only:
            command += ["--only", *args.only]
        truth = TRUTH.search(run(command))
        if not truth:
            raise Failed("simulate does not say where the marker is")
        truth_m = [float(v) for v in truth.groups()]

        def files(pattern):
            found = sorted(str(p) for p in folder.glob(pattern))
            if not found:
                raise Failed(f"simulate wrote no {pattern}")
            return found

        command = [args.program, "locate", *files("*_MO.rnx"),
                   "--nav", *files("*_MN.rnx"), "--method", "ppp",
                   "--orbits", *files("*.SP3"), "--clocks", *files("*.CLK"),
                   "--biases", *files("*.BIA"), "--antennas", *files("*.atx"),
                   "--json"]
        if write_loading(receiver, folder / "loading.blq"):
            command += ["--loading", str(folder / "loading.blq")]
        if args.without:
            command += ["--without", *args.without]
        answer = json.loads(run(command))
    position = answer.get("position")
    if answer.get("status") != "converged" or not position:
        raise Failed(f"seed {seed}: {answer.get('status')} "
                     f"{answer.get('why', '')}")
    found_m = position["ecef_m"]
    error_m = local([f - t for f, t in zip(found_m, truth_m)], truth_m)
    return {
        "seed": seed,
        "error_mm": [1e3 * v for v in error_m],
        "sigma_mm": [1e3 * v
                     for v in position["sigma_without_calibration_enu_m"]],
        "seconds": time.monotonic() - begun,
    }


def interval(hits, count, z=1.96):
    """Of a share, 95 %."""
    share = hits / count
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = (z / (1 + z * z / count) *
            math.sqrt(share * (1 - share) / count + z * z / (4 * count**2)))
    return max(0.0, middle - half), min(1.0, middle + half)


def print_shares(results):
    """The table of the shares; True when no row lies outside its range."""
    good = True
    print(f"\n{'':10} {'within':>8} {'share':>7}   95 % interval   aim")
    for name, axes in (("all", (0, 1, 2)), ("east", (0,)), ("north", (1,)),
                       ("up", (2,))):
        ratios = [abs(r["error_mm"][a]) / r["sigma_mm"][a]
                  for r in results for a in axes]
        for sigmas, (low, high) in RANGES.items():
            hits = sum(v <= sigmas for v in ratios)
            begin, end = interval(hits, len(ratios))
            fails = end < low or begin > high
            good &= not fails
            print(f"{name:10} {sigmas:>3} sigma {100 * hits / len(ratios):6.1f}"
                  f" %  {100 * begin:5.1f} - {100 * end:5.1f} %  "
                  f"{100 * low:.0f} - {100 * high:.0f} %"
                  f"{'   OUTSIDE' if fails else ''}")
    return good


def print_moments(results):
    """Mean and spread: an error that all seeds share shows in the mean."""
    count = len(results)
    for name, value in (
            ("mean", lambda v: sum(v) / count),
            ("spread", lambda v: math.sqrt(
                sum((x - sum(v) / count) ** 2 for x in v) / max(1, count - 1))),
            ("rms", lambda v: math.sqrt(sum(x * x for x in v) / count))):
        columns = [value([r["error_mm"][a] for r in results])
                   for a in range(3)]
        print(f"{name:>6} " + " ".join(f"{v:8.2f}" for v in columns))


def parse():
    parser = argparse.ArgumentParser(
        description="the phase solution against simulated truth, seed by seed")
    parser.add_argument("seeds", type=int)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--first", type=int, default=1, help="seed")
    parser.add_argument("--program",
                        default=str(ROOT / "build/release/stillpoint"))
    parser.add_argument("--scenario", type=pathlib.Path,
                        default=ROOT / "scenarios/larch-hollow.toml")
    # The ladder knocks the antenna on the second morning.
    parser.add_argument("--start", default="2026-06-02T00:00:00")
    parser.add_argument("--end", default="2026-06-03T00:00:00")
    parser.add_argument("--only", nargs="+", help="effects of the simulator")
    parser.add_argument("--without", nargs="+", help="terms of the solution")
    args = parser.parse_args()
    if args.seeds < 1 or args.jobs < 1:
        parser.error("at least one seed and one job")
    if not pathlib.Path(args.program).is_file():
        parser.error(f"no program {args.program}: build it, or name it "
                     "with --program")
    return args


def main():
    args = parse()
    with open(args.scenario, "rb") as file:
        receiver = tomllib.load(file)["receiver"][0]
    seeds = range(args.first, args.first + args.seeds)
    print("[mm]   " + " ".join(f"{n:>8}" for n in
                               ("east", "north", "up", "sigma e", "sigma n",
                                "sigma u")) + "        s")
    results, misses = [], 0
    with concurrent.futures.ThreadPoolExecutor(args.jobs) as pool:
        for r in pool.map(lambda s: one_seed(s, args, receiver), seeds):
            e, n, u = r["error_mm"]
            missed = math.hypot(e, n) > HORIZONTAL_MM or abs(u) > UP_MM
            misses += missed
            print(f"{r['seed']:>6} " +
                  " ".join(f"{v:8.2f}" for v in r["error_mm"] + r["sigma_mm"]) +
                  f" {r['seconds']:8.1f}{'   MISSED' if missed else ''}",
                  flush=True)
            results.append(r)
    print_moments(results)
    good = print_shares(results)
    print(f"\nfurther than {HORIZONTAL_MM:g} mm horizontally or {UP_MM:g} mm "
          f"up: {misses} of {len(results)}")
    return 0 if good and misses == 0 else 1


if __name__ == "__main__":
    try:
        sys.exit(main())
    except Failed as failed:
        print(f"ppp_seeds.py: {failed}", file=sys.stderr)
        sys.exit(2)
