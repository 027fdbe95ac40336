// The logbook's kinds and details in words.
import { utc } from "../ui/format.ts";

const kUnits: Record<string, string> = {
  mm: "mm",
  m: "m",
  s: "s",
  deg: "°",
  db: "dB",
  dbhz: "dB-Hz",
  bytes: "bytes",
  hz: "Hz",
};

export function kindWords(kind: string): string {
  return kind.replace(/_/g, " ");
}

const kTime = /^\d{4}-\d\d-\d\dT[\d:.]+Z$/;
const kDecimals = 4;

function value(of: unknown): string {
  if (of === null) return "not known";
  if (typeof of === "number") return String(Number(of.toFixed(kDecimals))).replace("-", "\u2212");
  if (typeof of === "string" && kTime.test(of)) return utc(of, true);
  if (typeof of === "boolean") return of ? "yes" : "no";
  if (Array.isArray(of)) return of.map(value).join(", ");
  return typeof of === "object" ? JSON.stringify(of) : String(of);
}

// "east −12 mm; record 7": a key's unit goes behind its value.
export function detailWords(details: Record<string, unknown>): string {
  return Object.entries(details)
    .map(([key, of]) => {
      const parts = key.split("_");
      const unit = kUnits[parts[parts.length - 1] ?? ""];
      if (unit === undefined || of === null || parts.length < 2) return `${kindWords(key)} ${value(of)}`;
      return `${kindWords(parts.slice(0, -1).join("_"))} ${value(of)}${unit === "°" ? "" : "\u202f"}${unit}`;
    })
    .join("; ");
}
