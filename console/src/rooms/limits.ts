// Limits as people type them. Empty is no limit.
export type Limit = number | null;

// The number times `scale`, rounded; null where it was left empty, undefined where
// it is no number or less than `least` after scaling.
export function wholeNumber(typed: string, scale: number, least: number): Limit | undefined {
  const words = typed.trim().replace(",", ".");
  if (words === "") return null;
  if (!/^\d{1,12}(\.\d{1,6})?$/.test(words)) return undefined;
  if (scale === 1 && words.includes(".")) return undefined;
  const value = Math.round(Number(words) * scale);
  return value >= least && Number.isSafeInteger(value) ? value : undefined;
}
