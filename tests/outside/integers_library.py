"""The closest lattice vectors as the pinned library finds them.

Runs only with the pinned libraries (live check and freeze_integers.py). The
library's own reduction and enumeration; distances are taken in whole numbers.
"""
from fpylll import (GSO, LLL, Enumeration, EvaluatorStrategy, IntegerMatrix)


def squared(vector, target):
    return sum((a - b) ** 2 for a, b in zip(vector, target))


def closest(problem, count=2):
    """Squared distances of the `count` closest vectors, in order."""
    rows = IntegerMatrix.from_matrix(problem.basis)
    LLL.reduction(rows)
    gso = GSO.Mat(rows, float_type="long double")
    gso.update_gso()
    near = rows.multiply_left(gso.babai(problem.target))
    # One of these is the second best or worse: so far it has to look.
    around = [squared(near, problem.target)]
    for row in rows:
        for sign in (1, -1):
            around.append(squared([a + sign * b for a, b in zip(near, row)],
                                  problem.target))
    radius = sorted(around)[count - 1] * (1 + 1e-9) + 1
    search = Enumeration(gso, nr_solutions=count,
                         strategy=EvaluatorStrategy.BEST_N_SOLUTIONS)
    found = search.enumerate(0, rows.nrows, radius, 0,
                             target=gso.from_canonical(problem.target))
    return sorted(squared(rows.multiply_left([round(x) for x in one]),
                          problem.target) for _, one in found)
