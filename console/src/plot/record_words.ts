// What is on record, in words, and the range that is looked at.
import type { RecordDoc } from "../types.ts";
import { bytes, number, plural, span, utc, utcClock, utcDay } from "../ui/format.ts";
import { percent, seconds, tally, type Cell, type Day } from "./calendar.ts";
import { extent } from "./columns.ts";
import { momentLabel } from "./scale.ts";

const kDay_s = 86400;
const kWeekdays = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];

export interface Range {
  readonly days: number;
  readonly end_s: number | null; // midnight after the last day; null: up to now
}

// The query of a range. Up to now and of a week it is the station's default.
export function recordPath(range: Range, now_s: number): string {
  if (range.end_s === null && range.days === 7) return "record";
  const end = range.end_s ?? Math.ceil(now_s / kDay_s) * kDay_s;
  const time = (s: number) => new Date(s * 1000).toISOString().replace(".000Z", "Z");
  return `record?from=${time(end - range.days * kDay_s)}&to=${time(end)}`;
}

// The range before or after; what would lie ahead of now ends with now.
export function moveRange(range: Range, by: 1 | -1, now_s: number): Range {
  const today = Math.ceil(now_s / kDay_s) * kDay_s;
  const end = (range.end_s ?? today) + by * range.days * kDay_s;
  return { days: range.days, end_s: end >= today ? null : end };
}

export function dayWords(start_s: number, narrow = false): string {
  const date = new Date(start_s * 1000);
  const short = utcDay(start_s * 1000).replace(/ \d{4}$/, "");
  return narrow ? short : `${kWeekdays[date.getUTCDay()] ?? ""} ${short}`;
}

export function cellWords(cell: Cell): string {
  const hour = `${utcDay(cell.startS * 1000)}, ${utcClock(cell.startS * 1000)}`;
  return `${hour}: ${cellState(cell)}`;
}

export function cellState(cell: Cell): string {
  if (cell.kind === "ahead") return "not yet, before the first hour, or outside of what was asked for";
  if (cell.kind === "absent") return "nothing recorded";
  if (cell.epochs === null) return "recorded, its epochs are not counted yet";
  const of = cell.expected === null ? "" : ` of ${number(cell.expected)}`;
  const share = cell.share === null ? "" : `, ${percent(cell.share)}`;
  return `${number(cell.epochs)}${of} epochs${share}${cell.kind === "open" ? ", being recorded" : ""}`;
}

// The calendar in sentences.
export function recordSummary(days: readonly Day[]): string {
  const sum = tally(days);
  if (sum.recorded === 0) return "Nothing is recorded in this time.";
  const share = sum.share === null ? "" : ` ${percent(sum.share)} of all epochs are there.`;
  return `${number(sum.recorded)} of ${plural(sum.hours, "hour")} recorded, ${number(sum.whole)} of them whole.${share}${sum.bytes > 0 ? ` They take ${bytes(sum.bytes)}.` : ""}`;
}

// How long all gaps lasted [s], each counted once where they overlap.
export function gapTotal(gaps: RecordDoc["gaps"]): number {
  const sorted = gaps
    .map((g) => [seconds(g.from), seconds(g.to)] as const)
    .sort((a, b) => a[0] - b[0]);
  let total = 0;
  let until = -Infinity;
  for (const [from, to] of sorted) {
    if (to <= until) continue;
    total += to - Math.max(from, until);
    until = to;
  }
  return total;
}

// "2 Jun 2026 14:12 to 14:15 UTC"
export function gapWhen(gap: { from: string; to: string }): string {
  const from = seconds(gap.from) * 1000;
  const to = seconds(gap.to) * 1000;
  if (utcDay(from) !== utcDay(to)) return `${utc(from)} to ${utc(to)}`;
  return `${utcDay(from)} ${utcClock(from).replace(" UTC", "")} to ${utcClock(to)}`;
}

// The minutes in a sentence.
export function minutesSummary(minutes: RecordDoc["minutes"]): string {
  const satellites = extent(minutes.satellites);
  const strength = extent(minutes.cn0_dbhz);
  const out: string[] = [];
  if (satellites !== null) {
    const at = minutes.unix_s[satellites.lowAt];
    out.push(
      `On average ${number(satellites.mean, 1)} satellites, the fewest ${number(satellites.low)}${at === undefined ? "" : ` (${momentLabel(at)})`}.`,
    );
  }
  if (strength !== null) {
    out.push(`Mean strength ${number(strength.mean, 1)} dB-Hz, the lowest minute ${number(strength.low, 1)}.`);
  }
  const silent = minutes.epochs.filter((value) => value === 0).length;
  if (silent > 0) out.push(`${span(silent * 60)} without an epoch.`);
  return out.join(" ");
}

export function diskSentence(disk: RecordDoc["disk"]): string {
  const { days_left: days } = disk;
  if (days === null) return "How long the disk lasts can be told after the first day of recording.";
  if (days < 1) return "The disk is full within a day: from then on the oldest hours make room for new ones.";
  return `At this rate the disk lasts for ${days >= 730 ? `${number(days / 365.25)} more years` : plural(Math.floor(days), "more day")}.`;
}
