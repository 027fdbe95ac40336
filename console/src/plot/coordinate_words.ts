// Coordinates in words and figures, and what people type read back.
import type { Candidate, Coordinate, Job, Vec3 } from "../types.ts";
import { capital, number } from "../ui/format.ts";
import { belowSince, type Column } from "./columns.ts";
import type { Spread } from "./ellipse.ts";
import { figures, millimetres, signed } from "./scale.ts";

const kMethods: Readonly<Record<string, string>> = {
  code: "code ranges",
  "ppp-float": "PPP, float",
  "ppp-fixed": "PPP, fixed",
  "tie-float": "tie, float",
  "tie-fixed": "tie, fixed",
  by_hand: "typed in",
};

export function methodWords(method: string): string {
  return kMethods[method] ?? method;
}

// What the station's own solutions rest on; elsewhere the source is somebody's words.
const kSources: Readonly<Record<string, string>> = {
  growth: "from what there was by then",
  day: "of a whole day",
  solve: "for a time that was asked for",
};

export function sourceWords(source: string): string {
  return kSources[source] ?? source;
}

const kOrigins: Readonly<Record<Candidate["origin"], string>> = {
  station: "worked out here",
  imported: "brought as a document",
  by_hand: "typed in",
};

export function originWords(origin: Candidate["origin"]): string {
  return kOrigins[origin] ?? origin;
}

// "47.300000000 47° 18′ 00.00000″ N": the second part.
export function sexagesimal(angle_deg: number, letters: "NS" | "EW"): string {
  const letter = angle_deg < 0 ? letters.charAt(1) : letters.charAt(0);
  const total = Math.round(Math.abs(angle_deg) * 3600 * 1e5);
  const degrees = Math.floor(total / 3600e5);
  const minutes = Math.floor((total % 3600e5) / 60e5);
  const seconds_s = ((total % 60e5) / 1e5).toFixed(5).padStart(8, "0");
  return `${degrees}° ${String(minutes).padStart(2, "0")}′ ${seconds_s}″ ${letter}`;
}

// Metres to a tenth of a millimetre, without groups: as they are copied.
export function plainTriple(value: Vec3, digits: readonly number[] = [4, 4, 4]): string {
  return value.map((v, i) => v.toFixed(digits[i] ?? 4)).join(" ");
}

// "2.1 e, 1.8 n, 5.2 u mm"
export function sigmaWords(sigma_mm: Vec3): string {
  const [e, n, u] = sigma_mm;
  if (Math.max(e, n, u) >= 1e4) {
    return `${figures(e / 1000)} m east, ${figures(n / 1000)} m north, ${figures(u / 1000)} m up`;
  }
  return `${figures(e)} mm east, ${figures(n)} mm north, ${figures(u)} mm up`;
}

// What a candidate's comparison amounts to.
export function agreeWords(candidate: Candidate): string {
  if (candidate.adopted) return "adopted: what the rovers get";
  if (candidate.agrees === null) return "nothing to compare with yet";
  return candidate.agrees ? "agrees" : "disagrees";
}

// What the station says beside its verdict, "" where that is the verdict once more.
const kVerdicts: readonly string[] = ["reference", "agrees", "disagrees", "no_reference"];
export function whyWords(candidate: Candidate): string {
  return kVerdicts.includes(candidate.why) ? "" : capital(candidate.why.replaceAll("_", " "));
}

// A column of differences in mm, plain to compare.
export function differenceFigures(value_mm: number): string {
  return Math.abs(value_mm) >= 1000
    ? `${value_mm > 0 ? "+" : ""}${number(value_mm)}`
    : signed(value_mm);
}

// The candidates that can be drawn around the adopted one, it among them.
export function spreads(candidates: readonly Candidate[]): Spread[] {
  return candidates.flatMap((c) => {
    const difference = c.adopted ? [0, 0, 0] : c.difference_enu_mm;
    if (difference === null) return [];
    const [e = 0, n = 0, u = 0] = difference;
    const [sigmaE, sigmaN, sigmaU] = c.sigma_enu_mm;
    return [{ id: c.id, e, n, u, sigmaE, sigmaN, sigmaU }];
  });
}

// The picture of candidates in sentences.
export function planeSummary(doc: Coordinate): string {
  const others = doc.candidates.filter((c) => !c.adopted && c.difference_enu_mm !== null);
  if (others.length === 0) return "There is one candidate only: nothing to compare it with.";
  let farthest = others[0];
  const reach = (c: Candidate) => Math.hypot(...(c.difference_enu_mm ?? [0, 0, 0]));
  for (const c of others) if (farthest === undefined || reach(c) > reach(farthest)) farthest = c;
  const disagree = others.filter((c) => c.agrees === false).map((c) => `record ${c.id}`);
  const around = doc.adopted === null ? "the best candidate" : "the adopted coordinate";
  const most =
    farthest === undefined
      ? ""
      : ` The farthest, record ${farthest.id}, lies ${millimetres(reach(farthest))} from ${around}.`;
  const verdict =
    disagree.length === 0 ? "All agree within their uncertainties." : `Disagreeing: ${disagree.join(", ")}.`;
  if (others.length === 1 && farthest !== undefined) {
    const said = farthest.agrees === false ? "They disagree." : "They agree within their uncertainties.";
    return `One candidate beside ${around}: record ${farthest.id}, ${millimetres(reach(farthest))} from it. ${said}`;
  }
  return `${others.length} candidates around ${around}.${most} ${verdict}`;
}

export interface Growth {
  readonly hours: number[];
  readonly unix_s: number[];
  readonly e: (number | null)[];
  readonly n: (number | null)[];
  readonly u: (number | null)[];
  readonly method: string[];
}

// The growth as a plot wants it: by hours, each number of hours once (the last
// solution counts), sigmas that a logarithm can take.
export function growthRows(growth: Coordinate["growth"]): Growth {
  const rows = growth.hours
    .map((hours, i) => ({ hours, i, at: growth.unix_s[i] ?? 0 }))
    .filter((row): row is { hours: number; i: number; at: number } => row.hours !== null)
    .sort((a, b) => a.hours - b.hours || a.at - b.at);
  const last = rows.filter((row, i) => rows[i + 1]?.hours !== row.hours);
  const column = (values: Column) =>
    last.map(({ i }) => {
      const value = values[i] ?? null;
      return value !== null && value > 0 ? value : null;
    });
  return {
    hours: last.map((row) => row.hours),
    unix_s: last.map((row) => row.at),
    e: column(growth.sigma_e_mm),
    n: column(growth.sigma_n_mm),
    u: column(growth.sigma_u_mm),
    method: last.map(({ i }) => growth.method[i] ?? ""),
  };
}

export function growthSummary(growth: Growth): string {
  const last = growth.hours.length - 1;
  const hours = growth.hours[last];
  const now = [growth.e[last], growth.n[last], growth.u[last]];
  if (hours === undefined) return "No solution yet.";
  const [e, n, u] = now.map((value) => value ?? null);
  const say = (value: number | null | undefined) =>
    value === null || value === undefined ? "not known" : millimetres(value);
  const text = `After ${hours.toFixed(hours < 10 ? 1 : 0)} h: east ${say(e)}, north ${say(n)}, up ${say(u)}.`;
  for (const limit of [5, 10, 20, 50, 100]) {
    const since = [growth.e, growth.n, growth.u].map((c) => belowSince(growth.hours, c, limit));
    if (since.every((s): s is number => s !== null)) {
      const from = Math.max(...since);
      return `${text} All three below ${limit} mm since hour ${from.toFixed(from < 10 ? 1 : 0)}.`;
    }
  }
  return text;
}

// The job whose report tells how a record came about.
export function reportOf(record: number, jobs: readonly Job[]): string | null {
  return jobs.find((job) => job.record === record && job.report)?.id ?? null;
}

// What makes an adoption doubtful, in sentences; empty: nothing.
export function adoptionCautions(candidate: Candidate, doc: Coordinate): string[] {
  const out: string[] = [];
  if (candidate.method === "code") {
    out.push(
      "It comes from code ranges. Such a coordinate is good to about a metre; every rover's position is off by as much. Adopt it only to begin with, and carry on to a phase solution.",
    );
  }
  if (candidate.agrees === false) {
    out.push(
      doc.adopted === null
        ? `It disagrees with the best candidate. ${whyWords(candidate)}`.trim()
        : `It disagrees with the coordinate that is adopted now. ${whyWords(candidate)} Either the antenna has moved or one of the two is wrong: find out which before you go on.`.replace("  ", " "),
    );
  }
  const [, , up] = candidate.sigma_enu_mm;
  if (candidate.method !== "code" && up > 50) {
    out.push(`Its height is uncertain by ${millimetres(up)}: some more hours make it better.`);
  }
  return out;
}

// Numbers that were typed or pasted into one field: "1 2 3", "1, 2, 3", "1;2;3".
// A comma between digits of one number is not understood, and said so by null.
export function readNumbers(text: string): number[] | null {
  const parts = text
    .replaceAll("−", "-")
    .trim()
    .split(/[\s;]+|,\s+|,(?=[-+]?\d+\.)/)
    .filter((part) => part !== "");
  const numbers = parts.map((part) => (/^[-+]?\d+(\.\d*)?([eE][-+]?\d+)?$/.test(part) ? Number(part) : NaN));
  return numbers.length === 0 || numbers.some(Number.isNaN) ? null : numbers;
}

// Whether three numbers can be a place on the Earth in metres: between the
// deepest mine and the highest aeroplane, roughly.
export function nearEarth(ecef_m: readonly number[]): boolean {
  if (ecef_m.length !== 3) return false;
  const r = Math.hypot(...ecef_m);
  return r > 6.33e6 && r < 6.41e6;
}
