"""Measures the budgets of bench/budgets.json on the release preset.

usage: bench/check.py [--runs N] [--json RESULT]
Never a test: figures belong to a machine. Needs real data (STILLPOINT_DATA or
../shared/data). Each ratio pairs both sides in turn and takes medians.
"""
import argparse
import json
import os
import pathlib
import platform
import statistics
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent
BUILD = ROOT / "build/release"
DATA = pathlib.Path(os.environ.get("STILLPOINT_DATA",
                                   ROOT.parent / "shared/data"))
ESBC = DATA / "esbc-2020-177"
OBS = ESBC / "ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz"
NAV = ESBC / "ESBC00DNK_R_20201770000_01D_MN.rnx.gz"
SP3 = ESBC / "COD0MGXFIN_20201770000_01D_05M_ORB.SP3.gz"
SIO = DATA / "sio-2024-328"
PPP = {
    "--orbits": [ESBC / "GRG0MGXFIN_20201770000_01D_15M_ORB.SP3.gz",
                 ESBC / "GRG0MGXFIN_20201760000_01D_15M_ORB.SP3.gz"],
    "--clocks": [ESBC / "GRG0MGXFIN_20201770000_01D_30S_CLK.CLK.gz"],
    "--offsets": [ESBC / "JAX0MGXFIN_20202440000_01D_000_SOL.SNX.gz",
                  SIO / "ESA0OPSFIN_20241850000_01D_01D_SOL.SNX.gz"],
    "--earth": [ESBC / "eopc04_14_IAU2000.20.txt"],
}
PPP_OPTIONS = ["--method", "ppp"] + [
    word for option, files in PPP.items() for word in (option, *files)]
# gzip -dc passes over a file that is not packed: -f copies it.
PPP_INPUTS = [OBS] + [file for files in PPP.values() for file in files]
TIE_OBS = [SIO / "sio53280.24o.gz", SIO / "alab3280.24o.gz"]
TIE = {
    "--orbits": [SIO / "WUM0MGXRAP_20243280000_01D_05M_ORB.SP3.gz"],
    "--antennas": [SIO / "igs20_gps.atx.gz"],
    "--offsets": PPP["--offsets"][1:],
}
# The known marker to the metre: what it is does not matter here.
TIE_WORDS = ["tie", TIE_OBS[0], "--to", TIE_OBS[1], "--known",
             "-2455553,-4767162,3441691", "--frame", "IGS20@2024-11-23",
             "--systems", "G"] + [
    word for option, files in TIE.items() for word in (option, *files)]
TIE_INPUTS = TIE_OBS + [file for files in TIE.values() for file in files]
PROCESSES = {
    "esbc-code": (["locate", OBS, "--nav", NAV], [OBS, NAV]),
    "esbc-code-precise": (["locate", OBS, "--orbits", SP3], [OBS, SP3]),
    "esbc-ppp": (["locate", OBS, *PPP_OPTIONS], PPP_INPUTS),
    "sio-tie": (TIE_WORDS, TIE_INPUTS),
}


def measured(command):
    """Processor seconds (user and system) and peak memory of one start."""
    with subprocess.Popen(list(map(str, command)), stdout=subprocess.DEVNULL,
                          stderr=subprocess.DEVNULL) as process:
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        sys.exit(f"exit {process.returncode}: {' '.join(map(str, command))}")
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def process_figures(runs):
    figures = {}
    for name, (words, inputs) in PROCESSES.items():
        solve, unpack, memory = [], [], []
        for _ in range(runs):
            seconds, megabytes = measured(
                [BUILD / "stillpoint", *words, "--json"])
            solve.append(seconds)
            memory.append(megabytes)
            unpack.append(measured(["gzip", "-dcf", *inputs])[0])
        figures[name] = {"process_s": statistics.median(solve),
                         "gzip_s": statistics.median(unpack),
                         "memory_mb": max(memory)}
    return figures


def operation_figures(runs):
    done = subprocess.run(
        [BUILD / "bench/stillpoint_bench", f"--benchmark_repetitions={runs}",
         "--benchmark_enable_random_interleaving=true",
         "--benchmark_report_aggregates_only=true",
         "--benchmark_format=json"],
        capture_output=True, check=True, text=True,
        env={**os.environ, "STILLPOINT_DATA": str(DATA)})
    return {row["run_name"].split("/")[0]: row["cpu_time"]
            for row in json.loads(done.stdout)["benchmarks"]
            if row.get("aggregate_name") == "median"}


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--json")
    args = parser.parse_args()
    if not OBS.exists():
        sys.exit("skipped: no data")
    budgets = json.loads((ROOT / "bench/budgets.json").read_text())
    processes = process_figures(args.runs)
    operations = operation_figures(args.runs)
    broken = 0
    rows = []
    for row in budgets["ratios"]:
        if "process" in row:
            figures = processes[row["process"]]
            ratio = figures["process_s"] / figures["gzip_s"]
        else:
            ratio = operations[row["top"]] / operations[row["bottom"]]
        rows.append((row["name"], ratio, row["most"], "x"))
    for row in budgets["memory_mb"]:
        rows.append((row["name"], processes[row["process"]]["memory_mb"],
                     row["most"], "MB"))
    for name, got, most, unit in rows:
        broken += got > most
        print(f"{'over' if got > most else 'good'}  {got:7.2f} {unit} "
              f"(at most {most})  {name}")
    if args.json:
        pathlib.Path(args.json).write_text(json.dumps(
            {"machine": platform.processor() or platform.machine(),
             "cores": os.cpu_count(), "operations_ms": operations,
             "processes": processes}, indent=1) + "\n")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
