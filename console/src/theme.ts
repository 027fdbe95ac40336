// Light, dark, or as the device says; the choice stays on this device.
import { signal } from "@preact/signals";

export type Theme = "device" | "light" | "dark";
const kKey = "stillpoint.theme";

function kept(): Theme {
  try {
    const value = localStorage.getItem(kKey);
    return value === "light" || value === "dark" ? value : "device";
  } catch {
    return "device";
  }
}

export const theme = signal<Theme>(kept());

export function applyTheme(): void {
  if (theme.value === "device") delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme.value;
}

export function chooseTheme(next: Theme): void {
  theme.value = next;
  try {
    if (next === "device") localStorage.removeItem(kKey);
    else localStorage.setItem(kKey, next);
  } catch {
    // A browser that keeps nothing: the choice holds until the page is closed.
  }
  applyTheme();
}
