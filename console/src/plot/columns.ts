// Columns of a plot: buckets of many rows, steps of a cursor, what a column holds.

export type Column = readonly (number | null)[];

// The middle one of the steps of x; 1 where there is none.
export function usualStep(x: readonly number[]): number {
  const steps: number[] = [];
  for (let i = 1; i < x.length; i += 1) steps.push((x[i] ?? 0) - (x[i - 1] ?? 0));
  steps.sort((a, b) => a - b);
  return steps[Math.floor(steps.length / 2)] ?? 1;
}

export interface Buckets {
  readonly x: number[]; // the beginning of each
  readonly mean: (number | null)[];
  readonly low: (number | null)[];
  readonly high: (number | null)[];
}

// A column in buckets of equal length of x, which is ascending. A bucket without
// a value is a gap. With `absent`, rows that are missing at the usual step count
// as that value, from the first row to the last.
export function buckets(
  x: readonly number[],
  column: Column,
  size: number,
  absent: number | null = null,
): Buckets {
  const out: Buckets = { x: [], mean: [], low: [], high: [] };
  const first = x[0];
  const last = x.at(-1);
  if (first === undefined || last === undefined) return out;
  const step = usualStep(x);
  let row = 0;
  for (let start = Math.floor(first / size) * size; start <= last; start += size) {
    let sum = 0;
    let count = 0;
    let low = Infinity;
    let high = -Infinity;
    for (; row < x.length && (x[row] ?? 0) < start + size; row += 1) {
      const value = column[row] ?? null;
      if (value === null || !Number.isFinite(value)) continue;
      sum += value;
      count += 1;
      low = Math.min(low, value);
      high = Math.max(high, value);
    }
    if (absent !== null) {
      const lasted = Math.min(start + size, last + step) - Math.max(start, first);
      const missing = Math.max(0, Math.round(lasted / step) - count);
      if (missing > 0) {
        sum += missing * absent;
        count += missing;
        low = Math.min(low, absent);
        high = Math.max(high, absent);
      }
    }
    out.x.push(start);
    out.mean.push(count === 0 ? null : sum / count);
    out.low.push(count === 0 ? null : low);
    out.high.push(count === 0 ? null : high);
  }
  return out;
}

const kBucketSizes_s = [60, 300, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400];

// The length of buckets [s] with which a span has at most `most` of them.
export function bucketSize(span_s: number, most: number): number {
  return kBucketSizes_s.find((size) => span_s / size <= most) ?? 86400;
}

// The row that a key of the plot's cursor leads to, null for other keys. Pages
// are a tenth of the plot.
export function stepRow(count: number, at: number | null, key: string): number | null {
  if (count === 0) return null;
  const page = Math.max(1, Math.round(count / 10));
  const from = at ?? count - 1;
  const within = (row: number) => Math.min(count - 1, Math.max(0, row));
  switch (key) {
    case "ArrowLeft":
    case "ArrowDown":
      return within(from - 1);
    case "ArrowRight":
    case "ArrowUp":
      return within(from + 1);
    case "PageDown":
      return within(from - page);
    case "PageUp":
      return within(from + page);
    case "Home":
      return 0;
    case "End":
      return count - 1;
    default:
      return null;
  }
}

export interface Extent {
  readonly count: number;
  readonly mean: number;
  readonly low: number;
  readonly lowAt: number; // row
  readonly high: number;
  readonly highAt: number;
  readonly last: number;
}

// What a column holds; null where it holds nothing.
export function extent(column: Column): Extent | null {
  let count = 0;
  let sum = 0;
  let low = Infinity;
  let high = -Infinity;
  let lowAt = -1;
  let highAt = -1;
  let last = 0;
  column.forEach((value, row) => {
    if (value === null || !Number.isFinite(value)) return;
    count += 1;
    sum += value;
    last = value;
    if (value < low) {
      low = value;
      lowAt = row;
    }
    if (value > high) {
      high = value;
      highAt = row;
    }
  });
  return count === 0 ? null : { count, mean: sum / count, low, lowAt, high, highAt, last };
}

// The hour (of `hours`) from which on all of a column stays at or below a limit;
// null if its last value is above.
export function belowSince(hours: Column, column: Column, limit: number): number | null {
  let since: number | null = null;
  column.forEach((value, row) => {
    if (value === null) return;
    if (value > limit) since = null;
    else since ??= hours[row] ?? null;
  });
  return since;
}
