// Hours on record: what a cell of the calendar stands for.

export const kHourS = 3600;

export interface HourIn {
  readonly start: string;
  readonly path: string | null;
  readonly bytes: number;
  readonly disk_bytes: number;
  readonly first_epoch: string | null;
  readonly last_epoch: string | null;
  readonly epochs: number | null;
  readonly open: boolean;
}

export interface GapIn {
  readonly from: string;
  readonly to: string;
  readonly cause: string;
}

export type CellKind =
  | "absent" // nothing was recorded
  | "unknown" // recorded, not counted yet
  | "counted" // recorded and counted
  | "open" // being written
  | "ahead"; // not yet, or before the range

export interface Cell {
  readonly startS: number;
  readonly kind: CellKind;
  readonly share: number | null; // of the epochs that could have been so far, 0 … 1
  readonly fill: number | null; // of those of the whole hour, 0 … 1
  readonly epochs: number | null;
  readonly expected: number | null;
  readonly hours: readonly HourIn[];
  readonly gaps: readonly GapIn[];
}

export interface Day {
  readonly startS: number;
  readonly cells: readonly Cell[]; // 24
}

export function seconds(time: string): number {
  return Date.parse(time) / 1000;
}

// The seconds between epochs: the shortest of the hours' means, rounded to what
// receivers are set to. null where no hour tells.
export function epochInterval(hours: readonly HourIn[]): number | null {
  let best: number | null = null;
  for (const hour of hours) {
    if (hour.epochs === null || hour.epochs < 2) continue;
    if (hour.first_epoch === null || hour.last_epoch === null) continue;
    const mean = (seconds(hour.last_epoch) - seconds(hour.first_epoch)) / (hour.epochs - 1);
    if (mean > 0 && (best === null || mean < best)) best = mean;
  }
  if (best === null) return null;
  const settings = [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60];
  let nearest = settings[0] ?? 1;
  for (const s of settings) {
    if (Math.abs(Math.log(s / best)) < Math.abs(Math.log(nearest / best))) nearest = s;
  }
  return nearest;
}

// From when on hours could have been recorded: a station that recorded before has
// its gaps named, so that before the first hour and the first gap there was none.
export function recordBegins(fromS: number, hours: readonly HourIn[], gaps: readonly GapIn[]): number {
  let first = Infinity;
  for (const hour of hours) first = Math.min(first, Math.floor(seconds(hour.start) / kHourS) * kHourS);
  for (const gap of gaps) first = Math.min(first, seconds(gap.from));
  return first === Infinity ? fromS : Math.max(fromS, first);
}

// One cell an hour for the whole days (UTC) that touch from … to, newest day
// first.
export function calendarDays(
  fromS: number,
  toS: number,
  nowS: number,
  hours: readonly HourIn[],
  gaps: readonly GapIn[],
): Day[] {
  const interval = epochInterval(hours);
  const byHour = new Map<number, HourIn[]>();
  for (const hour of hours) {
    const at = Math.floor(seconds(hour.start) / kHourS);
    const list = byHour.get(at);
    if (list) list.push(hour);
    else byHour.set(at, [hour]);
  }
  const days: Day[] = [];
  const firstDay = Math.floor(fromS / 86400);
  for (let day = Math.ceil(toS / 86400) - 1; day >= firstDay; day -= 1) {
    const cells: Cell[] = [];
    for (let hour = 0; hour < 24; hour += 1) {
      const startS = day * 86400 + hour * kHourS;
      const held = byHour.get(startS / kHourS) ?? [];
      const endS = startS + kHourS;
      const inside = gaps.filter((g) => seconds(g.from) < endS && seconds(g.to) > startS);
      cells.push(cellOf(startS, fromS, Math.min(toS, nowS), interval, held, inside, nowS));
    }
    days.push({ startS: day * 86400, cells });
  }
  return days;
}

function cellOf(
  startS: number,
  fromS: number,
  untilS: number, // what begins then or later was not to be recorded yet
  interval: number | null,
  hours: readonly HourIn[],
  gaps: readonly GapIn[],
  nowS: number,
): Cell {
  const common = { startS, hours, gaps };
  if (hours.length === 0) {
    const ahead = startS >= untilS || startS + kHourS <= fromS;
    return { ...common, kind: ahead ? "ahead" : "absent", share: ahead ? null : 0, fill: ahead ? null : 0, epochs: null, expected: null };
  }
  const open = hours.some((h) => h.open);
  const counts = hours.map((h) => h.epochs);
  const known = counts.every((n) => n !== null);
  const epochs = known ? counts.reduce((sum: number, n) => sum + (n ?? 0), 0) : null;
  const lasted = open ? Math.min(kHourS, Math.max(0, nowS - startS)) : kHourS;
  const expected = interval === null ? null : Math.max(1, Math.floor(lasted / interval));
  const share = epochs === null || expected === null ? null : Math.min(1, epochs / expected);
  const fill = epochs === null || interval === null ? null : Math.min(1, (epochs * interval) / kHourS);
  const kind = open ? "open" : share === null ? "unknown" : "counted";
  return { ...common, kind, share, fill: open ? fill : share, epochs, expected };
}

// A share as people say it: 100 only where nothing is missing.
export function percent(share: number): string {
  if (share >= 1) return "100 %";
  const value = Math.min(99.9, share * 100);
  return `${value >= 10 ? value.toFixed(1) : value.toFixed(2)} %`;
}

export interface Tally {
  readonly hours: number; // that could have been recorded
  readonly recorded: number;
  readonly whole: number; // with 99.9 % and more of their epochs
  readonly share: number | null; // of the epochs of counted hours and of absent ones
  readonly bytes: number;
}

export function tally(days: readonly Day[]): Tally {
  let hours = 0, recorded = 0, whole = 0, epochs = 0, expected = 0, bytes = 0;
  let full = 0;
  for (const day of days) {
    for (const cell of day.cells) full = Math.max(full, cell.kind === "open" ? 0 : (cell.expected ?? 0));
  }
  for (const day of days) {
    for (const cell of day.cells) {
      if (cell.kind === "ahead") continue;
      hours += 1;
      if (cell.kind === "absent") {
        expected += full;
        continue;
      }
      recorded += 1;
      for (const h of cell.hours) bytes += h.disk_bytes;
      if (cell.share !== null && cell.share >= 0.999) whole += 1;
      if (cell.epochs !== null && cell.expected !== null) {
        epochs += Math.min(cell.epochs, cell.expected);
        expected += cell.expected;
      }
    }
  }
  return { hours, recorded, whole, share: expected > 0 ? epochs / expected : null, bytes };
}

// The cell an arrow key leads to; the walk stops at the edges.
export function stepCell(
  rows: number,
  at: { row: number; column: number },
  key: string,
  columns = 24,
): { row: number; column: number } | null {
  const row = (n: number) => Math.min(rows - 1, Math.max(0, n));
  const column = (n: number) => Math.min(columns - 1, Math.max(0, n));
  switch (key) {
    case "ArrowLeft": return { row: at.row, column: column(at.column - 1) };
    case "ArrowRight": return { row: at.row, column: column(at.column + 1) };
    case "ArrowUp": return { row: row(at.row - 1), column: at.column };
    case "ArrowDown": return { row: row(at.row + 1), column: at.column };
    case "PageUp": return { row: row(at.row - 7), column: at.column };
    case "PageDown": return { row: row(at.row + 7), column: at.column };
    case "Home": return { row: at.row, column: 0 };
    case "End": return { row: at.row, column: columns - 1 };
    default: return null;
  }
}
