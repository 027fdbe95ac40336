// Times in form fields: "2026-06-02T08:14" as a browser's field has them, read as
// UTC.

// For a field, the minute that holds a moment.
export function fieldOf(unix_s: number): string {
  return new Date(Math.floor(unix_s / 60) * 60000).toISOString().slice(0, 16);
}

// "2026-06-02T08:14:00Z", null where it is no time.
export function timeOf(field: string): string | null {
  const found = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d)(:\d\d)?$/.exec(field.trim());
  if (found === null) return null;
  const text = `${found[1] ?? ""}T${found[2] ?? ""}${found[3] ?? ":00"}Z`;
  const date = new Date(text);
  if (Number.isNaN(date.getTime())) return null;
  return date.toISOString().slice(0, 10) === found[1] ? text : null;
}

export interface SpanMistake {
  readonly field: "start" | "end";
  readonly words: string;
}

// What is wrong with a span of two fields: that one is no time, that it ends
// before it begins, that it lies ahead.
export function spanMistakes(start: string, end: string, now_s: number): SpanMistake[] {
  const from = timeOf(start);
  const to = timeOf(end);
  const out: SpanMistake[] = [];
  if (from === null) out.push({ field: "start", words: "Give the start as date and time, UTC." });
  if (to === null) out.push({ field: "end", words: "Give the end as date and time, UTC." });
  if (from === null || to === null) return out;
  if (Date.parse(from) >= Date.parse(to)) {
    out.push({ field: "end", words: "The end must be after the start." });
  } else if (Date.parse(from) / 1000 > now_s) {
    out.push({ field: "start", words: "The start lies ahead: nothing is recorded there yet." });
  }
  return out;
}
