"""Invented NMEA sentences of the demo's world.

Every talker, every sentence that we decode and some that we do not, values of
every size, and every field empty now and then. freeze.py writes a few hundred
to tests/vectors/outside once; the live check makes thousands.
"""
import random

TALKERS = ("GP", "GL", "GA", "GB", "BD", "GQ", "QZ", "GI", "GN")
NUMBERS = {"GP": (1, 64), "GL": (65, 96), "GA": (1, 36), "GB": (1, 63),
           "BD": (201, 263), "GQ": (1, 10), "QZ": (193, 202), "GI": (1, 15),
           "GN": (1, 336)}
OTHERS = ("GLL,5300.5,N,00800.25,E,084158.00,A,D",
          "VTG,77.5,T,,M,0.004,N,0.008,K,A", "ZDA,082710.00,16,09,2026,00,00",
          "GSA,A,3,01,07,19,,,,,,,,,,1.94,1.18,1.54")


def framed(body):
    total = 0
    for letter in body.encode("ascii"):
        total ^= letter
    return f"${body}*{total:02X}"


class Dice(random.Random):
    def maybe(self, text):
        return "" if self.random() < 0.08 else text

    def number(self, low, high, most=3):
        return f"{self.uniform(low, high):.{self.randint(0, most)}f}"

    def time(self):
        second = f"{self.randint(0, 59):02d}"
        places = self.randint(0, 3)
        if places:
            second += f".{self.randrange(10 ** places):0{places}d}"
        return f"{self.randint(0, 23):02d}{self.randint(0, 59):02d}{second}"

    def angle(self, most, width, halves):
        """Both fields; the far ends now and then, with many decimals or few."""
        if self.random() < 0.08:
            return ","
        degrees = self.choice((0, most, self.randrange(most)))
        minutes = 0 if degrees == most else self.uniform(0, 59.5)
        places = self.randint(1, 7)
        return (f"{degrees:0{width}d}{minutes:0{3 + places}.{places}f},"
                f"{self.choice(halves)}")

    def place(self):
        return f"{self.angle(90, 2, 'NS')},{self.angle(180, 3, 'EW')}"


def gga(dice, talker):
    def length(low, high):
        text = dice.maybe(dice.number(low, high))
        return f"{text},M"
    return framed(
        f"{talker}GGA,{dice.maybe(dice.time())},{dice.place()},"
        f"{dice.maybe(str(dice.randint(0, 8)))},"
        f"{dice.maybe(f'{dice.randint(0, 60):02d}')},"
        f"{dice.maybe(dice.number(0.4, 99))},"
        f"{length(-400, 9000)},{length(-106, 85)},"
        f"{dice.maybe(dice.number(0, 90, 1))},"
        f"{dice.maybe(f'{dice.randint(0, 4095):04d}')}")


def rmc(dice, talker):
    date = f"{dice.randint(1, 28):02d}{dice.randint(1, 12):02d}" \
        f"{dice.randint(20, 45):02d}"
    text = (f"{talker}RMC,{dice.maybe(dice.time())},{dice.choice('AV')},"
            f"{dice.place()},{dice.maybe(dice.number(0, 600))},"
            f"{dice.maybe(dice.number(0, 360))},{dice.maybe(date)},,")
    edition = dice.randint(0, 2)
    if edition > 0:
        text += "," + dice.choice("ADEFMNPRS")
    if edition > 1:
        text += "," + dice.choice("SCUV")
    return framed(text)


def gst(dice, talker):
    lengths = [dice.maybe(dice.number(0, 40)) for _ in range(6)]
    lengths.insert(3, dice.maybe(dice.number(0, 360)))
    return framed(f"{talker}GST,{dice.maybe(dice.time())},{','.join(lengths)}")


def gsv(dice, talker):
    total = dice.randint(1, 6)
    signal = dice.choice((None, *"0123456789ABCDEF"))
    for index in range(1, total + 1):
        text = f"{talker}GSV,{total},{index},{dice.randint(0, 4 * total):02d}"
        for _ in range(4 if index < total else dice.randint(0, 4)):
            number = dice.randint(*NUMBERS[talker])
            text += (f",{number:02d},{dice.maybe(str(dice.randint(0, 90)))},"
                     f"{dice.maybe(f'{dice.randint(0, 359):03d}')},"
                     f"{dice.maybe(str(dice.randint(10, 56)))}")
        yield framed(text if signal is None else f"{text},{signal}")


def sentences(seed, rounds):
    dice = Dice(seed)
    lines = []
    for _ in range(rounds):
        for talker in TALKERS:
            lines += [gga(dice, talker), rmc(dice, talker), gst(dice, talker),
                      *gsv(dice, talker),
                      framed(talker + dice.choice(OTHERS))]
    return lines
