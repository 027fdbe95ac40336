"""Writes network.vec: adjustments of ties by a route of their own.

usage: network_vectors.py >network.vec

Nothing here is shared with the program. Known coordinates and vectors are
separate observations, the known stations' places are unknowns beside the
position here, and everything is worked out with 60 decimal digits. A test value
is the estimate of one more unknown (a shift of one known coordinate in one
direction) over its standard deviation. The limit comes from integrating the
density.
"""
import decimal
import math
import random
from decimal import Decimal as D

decimal.getcontext().prec = 60
A_M, F = D(6378137), 1 / D("298.257222101")  # GRS80


def matrix(rows, columns):
    return [[D(0)] * columns for _ in range(rows)]


def times(a, b):
    return [[sum(x * y for x, y in zip(row, column)) for column in zip(*b)]
            for row in a]


def turned(a):
    return [list(row) for row in zip(*a)]


def inverse(a):
    n = len(a)
    work = [list(row) + [D(int(i == j)) for j in range(n)]
            for i, row in enumerate(a)]
    for i in range(n):
        top = max(range(i, n), key=lambda r: abs(work[r][i]))
        work[i], work[top] = work[top], work[i]
        work[i] = [x / work[i][i] for x in work[i]]
        for r in range(n):
            if r != i and work[r][i]:
                factor = work[r][i]
                work[r] = [x - factor * y for x, y in zip(work[r], work[i])]
    return [row[n:] for row in work]


def lower(a):
    n = len(a)
    out = matrix(n, n)
    for i in range(n):
        for j in range(i + 1):
            rest = a[i][j] - sum(out[i][k] * out[j][k] for k in range(j))
            out[i][j] = rest.sqrt() if i == j else rest / out[j][j]
    return out


def rotation(x, y, z):
    """From ECEF to east, north, up; latitude by Newton-free iteration."""
    x, y, z = float(x), float(y), float(z)
    e2 = float(F * (2 - F))
    p, lat = math.hypot(x, y), math.atan2(z, math.hypot(x, y))
    for _ in range(60):
        curve = float(A_M) / math.sqrt(1 - e2 * math.sin(lat) ** 2)
        lat = math.atan2(z + e2 * curve * math.sin(lat), p)
    lon = math.atan2(y, x)
    s, c, sl, cl = math.sin(lat), math.cos(lat), math.sin(lon), math.cos(lon)
    return [[D(v) for v in row] for row in
            [[-sl, cl, 0.0], [-s * cl, -s * sl, c], [c * cl, c * sl, s]]]


def ecef(lat_deg, lon_deg, height_m):
    lat, lon = math.radians(lat_deg), math.radians(lon_deg)
    e2 = float(F * (2 - F))
    curve = float(A_M) / math.sqrt(1 - e2 * math.sin(lat) ** 2)
    return [(curve + height_m) * math.cos(lat) * math.cos(lon),
            (curve + height_m) * math.cos(lat) * math.sin(lon),
            (curve * (1 - e2) + height_m) * math.sin(lat)]


def solve(ties, extra=()):
    """Unknowns: here, each station; then a factor for each extra column."""
    n, size = len(ties), 3 * (len(ties) + 1) + len(extra)
    design, values = matrix(6 * n, size), []
    cov = matrix(6 * n, 6 * n)
    factors = [lower(t["vector_m2"]) for t in ties]
    for i, t in enumerate(ties):
        for k in range(3):
            known, vector, station = 3 * i + k, 3 * (n + i) + k, 3 * (i + 1) + k
            design[known][station] = D(1)
            design[vector][k], design[vector][station] = D(1), D(-1)
            for m in range(3):
                cov[known][3 * i + m] = t["known_m2"][k][m]
    for i in range(n):
        for j in range(n):
            product = times(factors[i], turned(factors[j]))
            for k in range(3):
                for m in range(3):
                    cov[3 * (n + i) + k][3 * (n + j) + m] = (
                        product[k][m] / (1 if i == j else 2))
    values = [v for t in ties for v in t["known"]]
    values += [v for t in ties for v in t["vector"]]
    for column, (tie, direction) in enumerate(extra):
        for k in range(3):
            design[3 * tie + k][3 * (n + 1) + column] = direction[k]
    weight = inverse(cov)
    half = times(turned(design), weight)
    normal = inverse(times(half, design))
    x = times(normal, times(half, [[v] for v in values]))
    fit = times(design, x)
    rest = [[v - f[0]] for v, f in zip(values, fit)]
    chi2 = times(turned(rest), times(weight, rest))[0][0]
    return [v[0] for v in x], normal, chi2


def limit(tail, dof):
    """Upper quantile of chi-square, Simpson's rule on the density."""
    def density(u):  # in u = sqrt(x), smooth at 0
        return 0.0 if u == 0 else 2 * math.exp(
            (dof - 1) * math.log(u) - u * u / 2 - dof / 2 * math.log(2)
            - math.lgamma(dof / 2))

    def above(x, steps=4000):
        a, b = math.sqrt(x), math.sqrt(x) + 14
        h = (b - a) / steps
        return h / 3 * sum((1 if i in (0, steps) else 4 if i % 2 else 2)
                           * density(a + i * h) for i in range(steps + 1))

    low, high = 0.01, 400.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if above(middle) > tail else (low, middle)
    return low


def covariance(rng, at, sigma_enu):
    """Full, from sigmas and random correlations of east, north, up."""
    mix = [[D(rng.uniform(-0.3, 0.3)) + D(int(i == j)) for j in range(3)]
           for i in range(3)]
    for i in range(3):
        mix[i] = [v * D(sigma_enu[i]) for v in mix[i]]
    back = times(turned(rotation(*at)), mix)
    full = times(back, turned(back))
    # What is written is what is used, to the digit.
    return [[D(f"{float(full[min(i, j)][max(i, j)]):.6e}") for j in range(3)]
            for i in range(3)]


def make_case(seed, stations, known_sigma, vector_sigma, shift):
    rng = random.Random(seed)
    here = ecef(47.3, 8.9, 512.0)
    ties = []
    for i in range(stations):
        there = ecef(47.3 + rng.uniform(-0.6, 0.6), 8.9 + rng.uniform(-0.9, 0.9),
                     rng.uniform(300, 1900))
        known, vector = [], []
        known_m2 = covariance(rng, there, known_sigma)
        vector_m2 = covariance(rng, there, vector_sigma)
        wrong = shift[1] if shift and shift[0] == i else (0, 0, 0)
        wrong = [v[0] for v in times(turned(rotation(*there)),
                                     [[D(w)] for w in wrong])]
        for k in range(3):
            noise = rng.gauss(0, 1) * float(known_m2[k][k]) ** 0.5
            known.append(D(f"{there[k] + noise + float(wrong[k]):.4f}"))
            noise = rng.gauss(0, 0.7) * float(vector_m2[k][k]) ** 0.5
            vector.append(D(f"{here[k] - there[k] + noise:.5f}"))
        ties.append({"known": known, "vector": vector, "known_m2": known_m2,
                     "vector_m2": vector_m2})
    return ties


def triple(values, form):
    return ",".join(form.format(float(v) if "e" in form else v) for v in values)


def write(name, ties, exact=False):
    used = [dict(t) for t in ties]
    if exact:  # zeros in the input stand for 0.1 mm
        for t in used:
            t["known_m2"] = [[D("1e-8") * int(i == j) for j in range(3)]
                             for i in range(3)]
    x, normal, chi2 = solve(used)
    dof = 3 * (len(ties) - 1)
    bound = limit(0.001, dof) if dof else 0.0
    scale = chi2 / dof if dof and chi2 > D(bound) else D(1)
    print("source: an independent computation with 60 digits, unreduced: "
          "tests/vectors/network_vectors.py")
    print("kind: cross")
    print(f"input: case={name} ties={len(ties)}")
    for i, t in enumerate(ties):
        flat = [v for row in t["known_m2"] for v in row]
        flat = [D(0)] * 9 if exact else flat
        print(f"input: known{i}={triple(t['known'], '{:.4f}')} "
              f"vector{i}={triple(t['vector'], '{:.5f}')}")
        print(f"input: known_m2_{i}={triple(flat, '{:.6e}')}")
        flat = [v for row in t["vector_m2"] for v in row]
        print(f"input: vector_m2_{i}={triple(flat, '{:.6e}')}")
    print(f"expect: position_m={triple(x[:3], '{:.10f}')} dof={dof} "
          f"chi2={chi2:.9f} limit={bound:.8f}")
    flat = [normal[i][j] * scale for i in range(3) for j in range(3)]
    print(f"expect: covariance_m2={triple(flat, '{:.12e}')}")
    for i, t in enumerate(ties):
        turn = rotation(*t["known"])
        miss = [[t["known"][k] + t["vector"][k] - x[k]] for k in range(3)]
        residual = [v[0] for v in times(turn, miss)]
        largest = D(0)
        for k in range(3 if dof else 0):
            more, more_m2, _ = solve(used, [(i, turn[k])])
            largest = max(largest, abs(more[-1]) / more_m2[-1][-1].sqrt())
        print(f"expect: residual{i}={triple(residual, '{:.10f}')} "
              f"test{i}={largest:.9f}")
    print("tolerance: 1e-8 m, a few roundings of doubles of 5e6 m; chi2 and "
          "tests within 1e-8 m over the smallest sigma, covariance to 1e-8 of "
          "itself")


CASES = [
    ("one_station", 11, 1, (0.003, 0.003, 0.006), (0.002, 0.002, 0.005), None),
    ("two_sound", 12, 2, (0.003, 0.003, 0.006), (0.002, 0.002, 0.005), None),
    ("two_five_centimetres", 13, 2, (0.004, 0.004, 0.008),
     (0.002, 0.002, 0.005), (1, (0, -0.05, 0))),
    ("three_sound", 14, 3, (0.003, 0.003, 0.006), (0.003, 0.004, 0.008), None),
    ("four_one_high", 15, 4, (0.004, 0.004, 0.008), (0.003, 0.003, 0.008),
     (2, (0.01, 0, 0.07))),
    ("six_sound", 16, 6, (0.002, 0.002, 0.004), (0.004, 0.004, 0.009), None),
    ("three_exact", 17, 3, (0.0001, 0.0001, 0.0001), (0.003, 0.003, 0.008),
     None),
]

print("# Adjustments of ties. Written by network_vectors.py; do not edit.")
for number, (name, seed, count, known, vector, shift) in enumerate(CASES):
    if number:
        print("---")
    write(name, make_case(seed, count, known, vector, shift),
          exact=name.endswith("exact"))
