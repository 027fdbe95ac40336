// Values to words. Pure; everything a reader sees of a number goes through here.

// A narrow no-break space, between groups of digits and before a unit.
const kThin = "\u202f";
export const kUnknown = "not known";

// 12345.678 with 1 digit -> "12 345.7".
export function number(value: number | null | undefined, digits = 0): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return kUnknown;
  const [whole = "0", part] = Math.abs(value).toFixed(digits).split(".");
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, kThin) : whole;
  const zero = Number(value.toFixed(digits)) === 0;
  return (value < 0 && !zero ? "\u2212" : "") + grouped + (part === undefined ? "" : `.${part}`);
}

// A value with its unit, or "not known"; no line is broken between or in them.
export function quantity(value: number | null | undefined, unit: string, digits = 0): string {
  const words = number(value, digits);
  return words === kUnknown ? words : `${words}${kThin}${unit.replace("-", "\u2011")}`;
}

// Bytes in decimal units, three digits: 999 B, 1.20 kB, 34.5 MB.
export function bytes(value: number | null | undefined): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return kUnknown;
  const units = ["B", "kB", "MB", "GB", "TB"];
  let size = Math.abs(value);
  let step = 0;
  while (step + 1 < units.length && size >= (step === 0 ? 1000 : 999.5)) {
    size /= 1000;
    step += 1;
  }
  const digits = step === 0 ? 0 : size < 9.995 ? 2 : size < 99.95 ? 1 : 0;
  return `${size.toFixed(digits)}${kThin}${units[step] ?? ""}`;
}

export function plural(count: number, one: string, many = `${one}s`): string {
  return `${number(count)} ${count === 1 ? one : many}`;
}

// A span in at most two units: "4 s", "3 min", "2 h 5 min", "6 days".
export function span(seconds: number | null | undefined): string {
  if (seconds === null || seconds === undefined || !Number.isFinite(seconds)) return kUnknown;
  const s = Math.max(0, Math.round(seconds));
  if (s < 60) return `${s}${kThin}s`;
  const minutes = Math.round(s / 60);
  if (minutes < 60) return `${minutes}${kThin}min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) {
    const rest = minutes % 60;
    return rest === 0 ? `${hours}${kThin}h` : `${hours}${kThin}h\u00a0${rest}${kThin}min`;
  }
  const days = Math.floor(hours / 24);
  return hours % 24 === 0 || days > 9 ? `${days} days` : `${days} days ${hours % 24}${kThin}h`;
}

// "just now", "12 s ago", "in 3 min".
export function relative(then_ms: number, now_ms: number): string {
  const seconds = (now_ms - then_ms) / 1000;
  if (Math.abs(seconds) < 2) return "just now";
  return seconds > 0 ? `${span(seconds)}\u00a0ago` : `in\u00a0${span(-seconds)}`;
}

// The same from an age: "just now", "12 s ago", "not known".
export function ago(seconds: number | null | undefined): string {
  if (seconds === null || seconds === undefined) return kUnknown;
  return relative(-seconds * 1000, 0);
}

const two = (value: number): string => String(value).padStart(2, "0");
const kMonths = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" ");

// "2 Jun 2026 08:14 UTC"; with `seconds` the seconds too.
export function utc(time: string | number | null | undefined, seconds = false): string {
  if (time === null || time === undefined) return kUnknown;
  const date = new Date(time);
  if (Number.isNaN(date.getTime())) return kUnknown;
  return `${utcDay(date.getTime())} ${utcClock(date.getTime(), seconds)}`;
}

export function utcDay(time_ms: number): string {
  const date = new Date(time_ms);
  return `${date.getUTCDate()} ${kMonths[date.getUTCMonth()] ?? ""} ${date.getUTCFullYear()}`;
}

export function utcClock(time_ms: number, seconds = false): string {
  const date = new Date(time_ms);
  const minutes = `${two(date.getUTCHours())}:${two(date.getUTCMinutes())}`;
  return `${minutes}${seconds ? `:${two(date.getUTCSeconds())}` : ""} UTC`;
}

// Of the same UTC day as `now_ms` only the clock, else day and clock.
export function utcNear(time: string, now_ms: number): string {
  const then_ms = Date.parse(time);
  if (Number.isNaN(then_ms)) return kUnknown;
  return utcDay(then_ms) === utcDay(now_ms) ? utcClock(then_ms) : utc(then_ms);
}

// A list in a sentence: "a", "a and b", "a, b and c".
export function list(words: string[]): string {
  if (words.length < 2) return words[0] ?? "";
  return `${words.slice(0, -1).join(", ")} and ${words[words.length - 1] ?? ""}`;
}

export function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

// What the roles are called where people read them.
export const kRoles = { guest: "guest", helper: "helper", owner: "owner" } as const;
