// Candidates around the adopted coordinate: what is in the picture, and how
// large the picture is.
import { overlap, windWord, type Box, type Point } from "./dome.ts";
import { millimetres } from "./scale.ts";

export interface Spread {
  readonly id: number;
  readonly e: number; // difference [mm]
  readonly n: number;
  readonly u: number;
  readonly sigmaE: number; // [mm]
  readonly sigmaN: number;
  readonly sigmaU: number;
}

export interface Window {
  readonly half: number; // of the plane, from the centre to the edge [mm]
  readonly halfUp: number; // of the heights
  readonly inside: readonly Spread[];
  readonly outside: readonly Spread[];
}

// Sigmas drawn: two of them hold 86 % of a plane, 95 % of a line.
export const kSigmas = 2;

function reachInPlane(s: Spread): number {
  return Math.max(Math.abs(s.e) + kSigmas * s.sigmaE, Math.abs(s.n) + kSigmas * s.sigmaN);
}

function reachUp(s: Spread): number {
  return Math.abs(s.u) + kSigmas * s.sigmaU;
}

function reach(s: Spread): number {
  return Math.max(reachInPlane(s), reachUp(s));
}

// A round half width that leaves a little air around `size`.
function roomy(size: number): number {
  const wanted = Math.max(1, size * 1.08);
  const power = 10 ** Math.floor(Math.log10(wanted));
  const steps = [1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10];
  return (steps.find((step) => step * power >= wanted) ?? 10) * power;
}

// The picture follows the phase solutions: candidates that would make it more
// than `factor` times as large as the others need are named beside it instead,
// for a code position of a metre would squeeze all the rest into a dot. At
// least one candidate is inside.
export function chooseWindow(all: readonly Spread[], factor = 3): Window {
  const sorted = [...all].sort((a, b) => reach(a) - reach(b));
  const first = sorted[0];
  if (first === undefined) return { half: 10, halfUp: 10, inside: [], outside: [] };
  let half = Math.max(reach(first), 1);
  const inside: Spread[] = [];
  const outside: Spread[] = [];
  for (const s of sorted) {
    const size = reach(s);
    if (outside.length > 0 || size > half * factor) {
      outside.push(s);
    } else {
      half = Math.max(half, size);
      inside.push(s);
    }
  }
  return {
    half: roomy(Math.max(...inside.map(reachInPlane))),
    halfUp: roomy(Math.max(...inside.map(reachUp))),
    inside,
    outside,
  };
}

// Candidates that are not drawn, in words: "75 mm south-east, 120 mm up".
export function awayWords(s: Spread): string {
  const plane = Math.hypot(s.e, s.n);
  const azimuth = (Math.atan2(s.e, s.n) * 180) / Math.PI;
  const up = `${millimetres(Math.abs(s.u))} ${s.u < 0 ? "down" : "up"}`;
  return `${millimetres(plane)} ${windWord(azimuth)}, ${up}`;
}

// Places for numbers at the rims of ellipses: of twelve directions the one that
// covers least of the numbers set before it.
export function rimLabels(
  ellipses: readonly { x: number; y: number; rx: number; ry: number }[],
  width: number,
  height: number,
): Point[] {
  const taken: Box[] = [];
  return ellipses.map(({ x, y, rx, ry }) => {
    let best = { x, y: y - ry - height / 2 };
    let least = Infinity;
    for (let turn = 0; turn < 12; turn += 1) {
      const angle = (turn * Math.PI) / 6;
      const at = {
        x: x + (rx + width / 2 + 1) * Math.sin(angle),
        y: y - (ry + height / 2 + 1) * Math.cos(angle),
      };
      const box = { x: at.x - width / 2, y: at.y - height / 2, width, height };
      let cost = turn * 0.1;
      for (const other of taken) cost += overlap(box, other);
      if (cost < least) {
        least = cost;
        best = at;
      }
    }
    taken.push({ x: best.x - width / 2, y: best.y - height / 2, width, height });
    return best;
  });
}

// The length of the step a rover makes: horizontal and up [mm].
export function stepSize(difference: readonly number[]): { plane: number; up: number } {
  const [e = 0, n = 0, u = 0] = difference;
  return { plane: Math.hypot(e, n), up: u };
}
