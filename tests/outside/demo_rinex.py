"""Two small invented observation files of the demo's world.

Nothing is measured and nothing is a sky: numbers of the right size that walk
like ranges, with everything that makes a reader stumble. freeze.py writes them
to tests/vectors/outside once; the checks read the files, not this program.
"""
import random

TYPES3 = {
    "G": "C1C L1C D1C S1C C1W S1W C2W L2W D2W S2W C2L L2L S2L C5Q L5Q S5Q",
    "R": "C1C L1C D1C S1C C2P L2P S2P",
    "E": "C1X L1X D1X S1X C5X L5X C7X L7X",
    "C": "C2I L2I S2I C6I L6I S6I",
    "J": "C1C L1C C5Q L5Q",
    "S": "C1C L1C D1C S1C",
}
TYPES2 = "C1 P1 L1 D1 S1 P2 L2 S2"
SATELLITES3 = ["G01", "G07", "G19", "G32", "R03", "R24", "E02", "E30", "C05",
               "C37", "J02", "S36"]
SATELLITES2 = [f"G{n:02d}" for n in range(1, 10)] + [
    f"R{n:02d}" for n in range(1, 7)]
EPOCHS = 24


def labelled(text, label):
    return f"{text:60}{label}\n"


def common():
    return [labelled("LHOL", "MARKER NAME"),
            labelled("0000                SPDEMO-R1           0",
                     "REC # / TYPE / VERS"),
            labelled("1                   SPDEMO-A1       NONE",
                     "ANT # / TYPE"),
            labelled(f"{4281406.3608:14.4f}{670450.3441:14.4f}"
                     f"{4664823.2000:14.4f}", "APPROX POSITION XYZ"),
            labelled(f"{0.512:14.4f}{0:14.4f}{0:14.4f}",
                     "ANTENNA: DELTA H/E/N")]


def tail():
    return [labelled(f"{30:10.3f}", "INTERVAL"),
            labelled("  2024     5     8    10     0    0.0000000     GPS",
                     "TIME OF FIRST OBS"),
            labelled("invented; see demo_rinex.py", "COMMENT"),
            labelled("", "END OF HEADER")]


class Values:
    """One satellite's numbers, drawn once and moved smoothly."""

    def __init__(self, dice):
        self.dice = dice
        self.range_m = dice.uniform(2.0e7, 4.1e7)
        self.rate_mps = dice.uniform(-800, 800)
        # One satellite in a few begins its phase near zero.
        self.begin_cyc = self.range_m * 5.25 if dice.random() < 0.7 else 0.0

    def field(self, kind, epoch):
        """16 columns: value, loss of lock, strength."""
        dice, moved = self.dice, self.rate_mps * 30 * epoch
        if dice.random() < 0.06:
            return " " * 16
        if dice.random() < 0.03:
            return f"{0:14.3f}  "
        strength = dice.choice("56789 ")
        if kind == "L":
            lock = dice.choice("     12 0")
            value = -self.begin_cyc - moved * 5.25 + dice.uniform(-1, 1)
            return f"{value:14.3f}{lock}{strength}"
        if kind == "D":
            value = (self.rate_mps if dice.random() < 0.8 else
                     dice.uniform(-1, 1))
            return f"{value:14.3f}  "
        if kind == "S":
            return f"{dice.uniform(18, 56):14.3f}  "
        value = self.range_m + moved + dice.uniform(-2, 2)
        return f"{value:14.3f} {strength}"


def present(name, epoch, names):
    """Satellites come and go, each in its own way."""
    index = names.index(name)
    return (epoch + 3 * index) % 17 > 2


def version3():
    dice = random.Random(305)
    values = {name: Values(dice) for name in SATELLITES3}
    lines = [labelled("     3.05           OBSERVATION DATA    M",
                      "RINEX VERSION / TYPE"), *common()]
    for system, types in TYPES3.items():
        types = types.split()
        for begin in range(0, len(types), 13):
            head = f"{system}{len(types):5d}" if begin == 0 else " " * 6
            lines.append(labelled(
                head + "".join(f" {t}" for t in types[begin:begin + 13]),
                "SYS / # / OBS TYPES"))
    lines += tail()
    for epoch in range(EPOCHS):
        names = [n for n in SATELLITES3 if present(n, epoch, SATELLITES3)]
        if epoch == 11:
            names.reverse()
        seconds = 30 * epoch + (0.0125 if epoch == 5 else 0)
        flag = 1 if epoch == 14 else 0
        line = (f"> 2024 05 08 10 {int(seconds // 60):02d}"
                f"{seconds % 60:11.7f}  {flag}{len(names):3d}")
        if epoch >= 18:
            line += f"{-1.25e-4 - epoch * 1e-9:21.12f}"
        lines.append(line + "\n")
        for name in names:
            fields = (values[name].field(t[0], epoch)
                      for t in TYPES3[name[0]].split())
            lines.append((name + "".join(fields)).rstrip() + "\n")
    return "".join(lines)


def version2():
    dice = random.Random(211)
    values = {name: Values(dice) for name in SATELLITES2}
    types = TYPES2.split()
    lines = [labelled("     2.11           OBSERVATION DATA    M (MIXED)",
                      "RINEX VERSION / TYPE"), *common(),
             labelled(f"{len(types):6d}" + "".join(f"{t:>6}" for t in types),
                      "# / TYPES OF OBSERV"), *tail()]
    for epoch in range(EPOCHS):
        names = [n for n in SATELLITES2 if present(n, epoch, SATELLITES2)]
        flag = 1 if epoch == 14 else 0
        line = (f" 24  5  8 10 {epoch // 2:2d}{epoch % 2 * 30:11.7f}"
                f"  {flag}{len(names):3d}")
        first = f"{line}{''.join(names[:12]):36}"
        if epoch >= 18:
            first += f"{-1.25e-4 - epoch * 1e-9:12.9f}"
        lines.append(first.rstrip() + "\n")
        if names[12:]:
            lines.append(" " * 32 + "".join(names[12:]) + "\n")
        for name in names:
            fields = [values[name].field(t[0], epoch) for t in types]
            lines.append("".join(fields[:5]).rstrip() + "\n")
            lines.append("".join(fields[5:]).rstrip() + "\n")
    return "".join(lines)
