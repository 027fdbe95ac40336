// What RTCM 3 messages carry, in words. The numbers and what they mean are the open
// standard's (RTCM 10403.3), as src/stillpoint/rtcm/message_names.cc has them; a
// test holds the two lists against each other.
const kNames: Record<number, string> = {
  1001: "Observations of GPS, L1 alone",
  1002: "Observations of GPS, L1 alone, extended",
  1003: "Observations of GPS, L1 and L2",
  1004: "Observations of GPS, L1 and L2, extended",
  1005: "Coordinate of the antenna reference point",
  1006: "Coordinate of the antenna reference point, with the antenna's height",
  1007: "Antenna",
  1008: "Antenna, with its serial number",
  1009: "Observations of GLONASS, L1 alone",
  1010: "Observations of GLONASS, L1 alone, extended",
  1011: "Observations of GLONASS, L1 and L2",
  1012: "Observations of GLONASS, L1 and L2, extended",
  1013: "Which messages come, and how often",
  1014: "Auxiliary station of a network",
  1015: "Ionosphere differences of GPS in a network",
  1016: "Geometry differences of GPS in a network",
  1017: "Ionosphere and geometry differences of GPS in a network",
  1019: "Orbits of GPS",
  1020: "Orbits of GLONASS",
  1021: "Change of frame: Helmert or abridged Molodenski",
  1022: "Change of frame: Molodenski-Badekas",
  1023: "Residuals of a change of frame, on an ellipsoidal grid",
  1024: "Residuals of a change of frame, on a plane grid",
  1025: "Map projection",
  1026: "Map projection: Lambert, two parallels",
  1027: "Map projection: oblique Mercator",
  1029: "A notice in words",
  1030: "Residuals of GPS in a network",
  1031: "Residuals of GLONASS in a network",
  1032: "Coordinate of the physical station of a network",
  1033: "Receiver and antenna",
  1034: "Area gradients of GPS in a network",
  1035: "Area gradients of GLONASS in a network",
  1037: "Ionosphere differences of GLONASS in a network",
  1038: "Geometry differences of GLONASS in a network",
  1039: "Ionosphere and geometry differences of GLONASS in a network",
  1041: "Orbits of NavIC",
  1042: "Orbits of BeiDou",
  1044: "Orbits of QZSS",
  1045: "Orbits of Galileo (F/NAV)",
  1046: "Orbits of Galileo (I/NAV)",
  1230: "Biases between codes and phases of GLONASS, L1 and L2",
  1300: "Frame of the service",
  1301: "Change of frame, from the service's to that of the messages",
  1302: "Frame of the messages",
};
const kSystems: Record<number, string> = {
  107: "GPS",
  108: "GLONASS",
  109: "Galileo",
  110: "SBAS",
  111: "QZSS",
  112: "BeiDou",
  113: "NavIC",
};
// Corrections of orbits and clocks themselves (SSR): six of GPS, six of GLONASS.
const kOfSpace = [
  "to orbits", "to clocks", "to code biases", "to orbits and clocks", "accuracy of the ranges", "to clocks, at a high rate",
];

// The system of a multiple signal message; undefined where it is none.
function msmSystem(type: number): string | undefined {
  const level = type % 10;
  return level >= 1 && level <= 7 ? kSystems[Math.floor(type / 10)] : undefined;
}

export function messageName(type: number): string {
  const known = kNames[type];
  if (known !== undefined) return known;
  const system = msmSystem(type);
  if (system !== undefined) return `Observations of ${system} (MSM${type % 10})`;
  if (type >= 1057 && type <= 1068) {
    return `Corrections of ${type < 1063 ? "GPS" : "GLONASS"} (SSR): ${kOfSpace[(type - 1057) % 6] ?? ""}`;
  }
  if (type >= 4001 && type <= 4095) return "A maker's own message";
  return "No name for it here";
}

// Of these an epoch is made.
function isObservation(type: number): boolean {
  return msmSystem(type) !== undefined || (type >= 1001 && type <= 1004) || (type >= 1009 && type <= 1012);
}

const kLag_s = 5;

// How old the newest epoch may be before something is wrong: what a link may lag, and
// the time between two epochs, where the receiver's messages tell it.
export function oldestGood_s(messages: { type: number; rate_hz: number | null }[]): number {
  const rates = messages.flatMap((one) => (isObservation(one.type) && one.rate_hz !== null && one.rate_hz > 0 ? [one.rate_hz] : []));
  return kLag_s + (rates.length === 0 ? 0 : 1 / Math.max(...rates));
}
