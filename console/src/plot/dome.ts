// The sky over the antenna on a disc: north up, east at the right, the horizon
// at the rim. Equal areas of the disc are equal parts of the sky, so that a
// crowd of marks is a crowd of satellites and not an effect of the drawing.

export interface Point {
  readonly x: number;
  readonly y: number;
}

// Where a direction lies, for a horizon of radius 1: x to the east, y down to
// the south. Elevations below the horizon are drawn on it.
export function skyPlace(azimuthDeg: number, elevationDeg: number): Point {
  const r = ringRadius(elevationDeg);
  const azimuth = (azimuthDeg * Math.PI) / 180;
  return { x: r * Math.sin(azimuth), y: -r * Math.cos(azimuth) };
}

// The radius of a circle of equal elevation [0 … 1].
export function ringRadius(elevationDeg: number): number {
  const elevation = Math.min(90, Math.max(0, elevationDeg));
  return Math.sqrt(Math.max(0, 1 - Math.sin((elevation * Math.PI) / 180)));
}

const kWinds = [
  "north", "north-east", "east", "south-east",
  "south", "south-west", "west", "north-west",
] as const;

// "south-west"
export function windWord(azimuthDeg: number): string {
  const turn = ((azimuthDeg % 360) + 360) % 360;
  return kWinds[Math.round(turn / 45) % 8] ?? "north";
}

// How high, in a word.
export function heightWord(elevationDeg: number): string {
  if (elevationDeg >= 60) return "high";
  if (elevationDeg >= 25) return "half way up";
  if (elevationDeg >= 10) return "low";
  return "close to the horizon";
}

export interface SystemLook {
  readonly name: string;
  readonly shape: string; // in words, for the legend
}

const kSystems: Readonly<Record<string, SystemLook>> = {
  G: { name: "GPS", shape: "round" },
  R: { name: "GLONASS", shape: "square" },
  E: { name: "Galileo", shape: "diamond" },
  C: { name: "BeiDou", shape: "triangle" },
  J: { name: "QZSS", shape: "pentagon" },
  I: { name: "NavIC", shape: "triangle on its tip" },
  S: { name: "SBAS", shape: "cross" },
};

export function systemLook(system: string): SystemLook {
  return kSystems[system] ?? { name: system, shape: "hexagon" };
}

const kOrder = "GRECJIS";

// Satellites in the order of a list: by system, then by number.
export function compareIds(a: string, b: string): number {
  const rank = (id: string) => {
    const at = kOrder.indexOf(id.charAt(0));
    return at < 0 ? kOrder.length : at;
  };
  return rank(a) - rank(b) || (a < b ? -1 : a > b ? 1 : 0);
}

function polygon(corners: number, r: number, turnDeg: number): string {
  let out = "";
  for (let i = 0; i < corners; i += 1) {
    const at = ((turnDeg + (360 * i) / corners) * Math.PI) / 180;
    out += `${i === 0 ? "M" : "L"}${fix(r * Math.sin(at))} ${fix(-r * Math.cos(at))}`;
  }
  return `${out}Z`;
}

// The outline of a satellite's mark around the origin. All shapes cover about
// the area of the circle with radius r.
export function markPath(system: string, r: number): string {
  switch (system) {
    case "G": {
      const a = fix(r);
      return `M${-a} 0A${a} ${a} 0 1 1 ${a} 0A${a} ${a} 0 1 1 ${-a} 0Z`;
    }
    case "R":
      return polygon(4, r * 1.25, 45);
    case "E":
      return polygon(4, r * 1.3, 0);
    case "C":
      return polygon(3, r * 1.5, 0);
    case "J":
      return polygon(5, r * 1.18, 0);
    case "I":
      return polygon(3, r * 1.5, 180);
    case "S": {
      const a = fix(r * 1.15);
      const b = fix(r * 0.42);
      return `M${-b} ${-a}H${b}V${-b}H${a}V${b}H${b}V${a}H${-b}V${b}H${-a}V${-b}H${-b}Z`;
    }
    default:
      return polygon(6, r * 1.1, 0);
  }
}

function fix(value: number): number {
  return Math.round(value * 100) / 100;
}

export interface TrackPart {
  readonly age: number; // 0 newest … parts - 1 oldest
  readonly path: string;
}

// A track as a few paths, the newest first, so that each can be fainter than
// the one before. Where a point is missing, or two are further apart than
// gap_s, the line breaks.
export function trackParts(
  unixS: readonly number[],
  places: readonly (Point | null)[],
  nowS: number,
  spanS: number,
  parts: number,
  gapS = 900,
): TrackPart[] {
  const paths: string[] = Array.from({ length: parts }, () => "");
  for (let i = 1; i < unixS.length; i += 1) {
    const a = places[i - 1];
    const b = places[i];
    const from = unixS[i - 1];
    const to = unixS[i];
    if (!a || !b || from === undefined || to === undefined) continue;
    if (to - from > gapS || to > nowS + gapS) continue;
    const age = Math.floor(((nowS - (from + to) / 2) / spanS) * parts);
    if (age >= parts) continue;
    const at = Math.max(0, age);
    paths[at] += `M${fix(a.x)} ${fix(a.y)}L${fix(b.x)} ${fix(b.y)}`;
  }
  return paths.map((path, age) => ({ age, path })).filter((part) => part.path);
}

export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export function overlap(a: Box, b: Box): number {
  const w = Math.min(a.x + a.width, b.x + b.width) - Math.max(a.x, b.x);
  const h = Math.min(a.y + a.height, b.y + b.height) - Math.max(a.y, b.y);
  return w > 0 && h > 0 ? w * h : 0;
}

// Places for the marks' labels: right, left, below, above and the four corners
// are tried, and the one that covers least of the marks and of the labels set
// before, or of other boxes, is taken. The answer holds the label's centre.
export function placeLabels(
  marks: readonly Point[],
  markR: number,
  width: number,
  height: number,
  others: readonly Box[] = [],
): Point[] {
  const taken: Box[] = marks.map((m) => ({
    x: m.x - markR, y: m.y - markR, width: 2 * markR, height: 2 * markR,
  }));
  taken.push(...others);
  const dx = markR + width / 2 + 2;
  const dy = markR + height / 2;
  const tries: readonly Point[] = [
    { x: dx, y: 0 }, { x: -dx, y: 0 }, { x: 0, y: dy }, { x: 0, y: -dy },
    { x: dx, y: dy }, { x: -dx, y: dy }, { x: dx, y: -dy }, { x: -dx, y: -dy },
  ];
  return marks.map((mark) => {
    let best = { x: mark.x + dx, y: mark.y };
    let bestCost = Infinity;
    for (const [order, offset] of tries.entries()) {
      const at = { x: mark.x + offset.x, y: mark.y + offset.y };
      const box = { x: at.x - width / 2, y: at.y - height / 2, width, height };
      let cost = order * 0.5;
      for (const other of taken) cost += overlap(box, other);
      if (cost < bestCost) {
        bestCost = cost;
        best = at;
      }
    }
    taken.push({ x: best.x - width / 2, y: best.y - height / 2, width, height });
    return best;
  });
}

export type Step = "left" | "right" | "up" | "down" | "first" | "last";

// The arrow keys: left and right walk once around the horizon, up and down from
// the lowest to the highest, first and last along the list. Every satellite can
// be reached; at an end the walk begins again.
export function stepAlong(
  satellites: readonly {
    readonly id: string;
    readonly azimuthDeg: number | null;
    readonly elevationDeg: number | null;
  }[],
  from: string | null,
  step: Step,
): string | null {
  if (satellites.length === 0) return null;
  const by = (key: (s: (typeof satellites)[number]) => number) =>
    [...satellites].sort((a, b) => key(a) - key(b) || compareIds(a.id, b.id));
  if (step === "first" || step === "last") {
    const listed = [...satellites].sort((a, b) => compareIds(a.id, b.id));
    return (step === "first" ? listed[0] : listed.at(-1))?.id ?? null;
  }
  const around = step === "left" || step === "right";
  const ordered = around
    ? by((s) => s.azimuthDeg ?? 361)
    : by((s) => s.elevationDeg ?? -1);
  const at = ordered.findIndex((s) => s.id === from);
  if (at < 0) return ordered[0]?.id ?? null;
  const onwards = step === "right" || step === "up" ? 1 : -1;
  return ordered[(at + onwards + ordered.length) % ordered.length]?.id ?? null;
}
