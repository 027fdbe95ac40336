// Axes: ticks on steps of 1, 2 or 5, decades for logarithms, and the numbers
// written beside them.
import { number } from "../ui/format.ts";

// The smallest of 1, 2, 5 times a power of ten that is not below value (> 0).
export function niceStep(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  const share = value / power;
  const step = share <= 1 + 1e-9 ? 1 : share <= 2 + 1e-9 ? 2 : share <= 5 + 1e-9 ? 5 : 10;
  return step * power;
}

// Round values from low to high, about `count` of them.
export function ticks(low: number, high: number, count: number): number[] {
  if (!(high > low) || !(count > 0)) return [];
  const step = niceStep((high - low) / count);
  const out: number[] = [];
  for (let i = Math.ceil(low / step - 1e-9); i * step <= high + step * 1e-9; i += 1) {
    out.push(Number((i * step).toPrecision(12)));
  }
  return out;
}

// 1, 2 and 5 of each decade that lie in low … high; with more than `most`, the
// decades alone. Both ends > 0.
export function logTicks(low: number, high: number, most = 9): number[] {
  if (!(low > 0) || !(high >= low)) return [];
  const pick = (digits: readonly number[]) => {
    const out: number[] = [];
    for (let e = Math.floor(Math.log10(low)); e <= Math.ceil(Math.log10(high)); e += 1) {
      for (const digit of digits) {
        const value = Number((digit * 10 ** e).toPrecision(6));
        if (value >= low * (1 - 1e-9) && value <= high * (1 + 1e-9)) out.push(value);
      }
    }
    return out;
  };
  const fine = pick([1, 2, 5]);
  return fine.length <= most ? fine : pick([1]);
}

// The ends of a logarithmic axis around the values: from a 1, 2 or 5 below the
// smallest to one above the largest. Values that are not positive are left out.
export function logRange(values: readonly (number | null)[]): [number, number] {
  let low = Infinity;
  let high = 0;
  for (const value of values) {
    if (value === null || !(value > 0) || !Number.isFinite(value)) continue;
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  if (high === 0) return [1, 10];
  const floor = 1 / niceStep(1 / low);
  const ceiling = niceStep(high);
  return ceiling > floor ? [floor, ceiling] : [floor / 2, ceiling * 2];
}

// Millimetres for people: three figures, metres and kilometres from 10 m up.
export function millimetres(value_mm: number): string {
  const size = Math.abs(value_mm);
  const minus = value_mm < 0 ? "−" : "";
  if (size >= 1e7) return `${minus}${figures(size / 1e6)} km`;
  if (size >= 1e4) return `${minus}${figures(size / 1e3)} m`;
  return `${minus}${figures(size)} mm`;
}

// Never an exponent: whole from 100 up, one digit behind the point from 1 up, two
// below.
export function figures(value: number): string {
  const size = Math.abs(value);
  if (size === 0) return "0";
  if (size >= 99.95) return number(value);
  if (size >= 0.995) return value.toFixed(1);
  return value.toFixed(2);
}

// A signed difference, "+3.2", "−0.4", "0.0".
export function signed(value: number, digits = 1): string {
  const text = Math.abs(value).toFixed(digits);
  if (Number(text) === 0) return text;
  return (value < 0 ? "−" : "+") + text;
}

const kMinute = 60;
const kHour = 3600;
const kDay = 86400;
const kTimeSteps = [
  1, 2, 5, 10, 30,
  kMinute, 2 * kMinute, 5 * kMinute, 10 * kMinute, 30 * kMinute,
  kHour, 2 * kHour, 3 * kHour, 6 * kHour, 12 * kHour,
  kDay, 2 * kDay, 7 * kDay, 14 * kDay, 28 * kDay,
];

// Whole minutes, hours or days (UTC) between two times, at most `count`.
export function timeTicks(low_s: number, high_s: number, count: number): number[] {
  if (!(high_s > low_s) || !(count >= 1)) return [];
  const needed = (high_s - low_s) / count;
  const step = kTimeSteps.find((s) => s >= needed) ?? Math.ceil(needed / kDay) * kDay;
  const out: number[] = [];
  for (let t = Math.ceil(low_s / step) * step; t <= high_s; t += step) out.push(t);
  return out;
}

const kMonths = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

// The label of a tick: the date at midnight, else hours and minutes.
export function timeLabel(unix_s: number): string {
  if (unix_s % kDay === 0) return dayLabel(unix_s);
  return clockLabel(unix_s);
}

export function dayLabel(unix_s: number): string {
  const date = new Date(unix_s * 1000);
  return `${date.getUTCDate()} ${kMonths[date.getUTCMonth()] ?? ""}`;
}

export function clockLabel(unix_s: number): string {
  return new Date(unix_s * 1000).toISOString().slice(11, 16);
}

// "2 Jun 2026, 14:05 UTC"
export function momentLabel(unix_s: number): string {
  const year = new Date(unix_s * 1000).getUTCFullYear();
  return `${dayLabel(unix_s)} ${year}, ${clockLabel(unix_s)} UTC`;
}

// The ends of a plain axis on round values around what is shown. With `floor`
// the axis begins there.
export function plainRange(
  values: readonly (number | null)[],
  floor: number | null = null,
): [number, number] {
  let low = Infinity;
  let high = -Infinity;
  for (const value of values) {
    if (value === null || !Number.isFinite(value)) continue;
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  if (high === -Infinity) return [floor ?? 0, (floor ?? 0) + 1];
  if (floor !== null) low = Math.min(floor, low);
  if (high - low < 1e-9) high = low + 1;
  const step = niceStep((high - low) / 4);
  return [Math.floor(low / step + 1e-9) * step, Math.ceil(high / step - 1e-9) * step];
}
