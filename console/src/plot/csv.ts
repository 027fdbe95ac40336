// The table behind a picture, as a file for spreadsheets (RFC 4180).

export type CsvValue = string | number | boolean | null;

// A field that begins like a formula gets an apostrophe, so that a spreadsheet
// shows it instead of computing it. Numbers are left alone.
function field(value: CsvValue): string {
  if (value === null) return "";
  if (typeof value !== "string") return String(value);
  const safe = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

export function toCsv(head: readonly string[], rows: readonly (readonly CsvValue[])[]): string {
  return [head, ...rows].map((row) => row.map(field).join(",")).join("\r\n") + "\r\n";
}
