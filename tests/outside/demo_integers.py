"""Invented problems of the closest lattice vector, in whole numbers.

Bases of three kinds: plain random rows; rows mixed by a unimodular matrix, as
ambiguities are correlated; a diagonal with a few common columns. Targets
anywhere, or near a lattice vector. freeze_integers.py writes some to
tests/vectors/outside once; the live check makes a thousand.
"""
import random
import typing


class Problem(typing.NamedTuple):
    basis: list      # rows
    target: list

    def line(self, count):
        """For dump_integers."""
        numbers = [len(self.target), count]
        for row in (*self.basis, self.target):
            numbers += row
        return " ".join(map(str, numbers)) + "\n"

    def squared_distance(self, coefficients):
        """Exact: whole numbers all the way."""
        return sum((sum(c * row[k] for c, row in zip(coefficients, self.basis))
                    - wanted) ** 2 for k, wanted in enumerate(self.target))


def basis(dice, size):
    kind = dice.randrange(3)
    if kind == 0:
        return [[dice.randint(-400, 400) for _ in range(size)]
                for _ in range(size)]
    rows = [[dice.randint(60, 500) * (r == c) for c in range(size)]
            for r in range(size)]
    if kind == 1:
        for _ in range(size):
            to, by = dice.randrange(size), dice.randrange(size)
            if to != by:
                times = dice.choice((-2, -1, 1, 2))
                rows[to] = [a + times * b for a, b in zip(rows[to], rows[by])]
    else:
        for row in rows:
            for column in range(min(3, size)):
                row[column] += dice.randint(-900, 900)
    return rows


def problem(dice, most):
    size = dice.randint(1, most)
    rows = basis(dice, size)
    if dice.random() < 0.5:
        return Problem(rows, [dice.randint(-99999, 99999)
                              for _ in range(size)])
    near = [dice.randint(-60, 60) for _ in range(size)]
    target = [sum(n * row[k] for n, row in zip(near, rows))
              + dice.randint(-50, 50) for k in range(size)]
    return Problem(rows, target)


def is_regular(rows, prime=2 ** 61 - 1):
    """Not singular: elimination in whole numbers modulo a prime."""
    rows = [[x % prime for x in row] for row in rows]
    for k in range(len(rows)):
        pivot = next((r for r in range(k, len(rows)) if rows[r][k]), None)
        if pivot is None:
            return False
        rows[k], rows[pivot] = rows[pivot], rows[k]
        inverse = pow(rows[k][k], -1, prime)
        for r in range(k + 1, len(rows)):
            times = rows[r][k] * inverse % prime
            if times:
                rows[r] = [(a - times * b) % prime
                           for a, b in zip(rows[r], rows[k])]
    return True


def problems(seed, count, most=40):
    dice, made = random.Random(seed), []
    while len(made) < count:
        one = problem(dice, most)
        if is_regular(one.basis):
            made.append(one)
    return made


def read(text):
    """Problems and how many answers of each, of lines for dump_integers."""
    for line in text.splitlines():
        if line and not line.startswith("#"):
            size, count, *numbers = map(int, line.split())
            rows = [numbers[k * size:(k + 1) * size] for k in range(size + 1)]
            yield Problem(rows[:-1], rows[-1]), count


def answers(text, asked, count):
    """Squared distances of each line of dump_integers."""
    lines = text.splitlines()
    if len(lines) != len(asked):
        raise AssertionError(f"{len(lines)} answers to {len(asked)} problems")
    for one, line in zip(asked, lines):
        numbers, size = list(map(int, line.split())), len(one.target)
        if len(numbers) != size * count:
            raise AssertionError(f"{len(numbers)} coefficients of {size}")
        yield [numbers[k * size:(k + 1) * size] for k in range(count)]
