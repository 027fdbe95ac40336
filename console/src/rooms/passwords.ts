// What a new password has to be before it is sent; the station has the last word.
import type { Mistake } from "../ui/form.tsx";

export const kShortestPassword = 8;
export const kPasswordHint = `At least ${kShortestPassword} characters. Four or five words that do not belong together serve well; pasting from a password store is fine.`;

// Length counts characters as people see them, not UTF-16 units.
export function checkNewPassword(
  password: string,
  again: string,
  field: string,
  fieldAgain: string,
): Mistake[] {
  const length = Array.from(password).length;
  if (length === 0) return [{ field, words: "Enter a password." }];
  if (length < kShortestPassword) {
    return [
      { field, words: `Make the password longer: ${length} characters now, ${kShortestPassword} at least.` },
    ];
  }
  if (password !== again) {
    return [{ field: fieldAgain, words: "Enter the same password a second time; the two differ." }];
  }
  return [];
}
