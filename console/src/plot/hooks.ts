// What plots share: their width on the page, and the look in force.
import { useEffect, useLayoutEffect, useState } from "preact/hooks";
import type { RefObject } from "preact";

// The padding of a plot's frame (plot.css), where its focus ring is drawn [px].
const kPadding = 3;
const kNarrowest = 220;

// The width inside a plot's frame in CSS pixels, whole; `first` before it is
// measured.
export function useWidth(ref: RefObject<HTMLElement | null>, first: number): number {
  const [width, setWidth] = useState(first);
  useLayoutEffect(() => {
    const element = ref.current;
    if (element === null) return undefined;
    const measure = () => {
      const now = Math.floor(element.clientWidth - 2 * kPadding);
      if (now > 0) setWidth(Math.max(kNarrowest, now));
    };
    measure();
    const watch = new ResizeObserver(measure);
    watch.observe(element);
    return () => watch.disconnect();
  }, [ref]);
  return width;
}

// A number that changes when the colours of the page may have changed: the
// system's setting, or an attribute of the page's root that a switch sets.
export function useLook(): number {
  const [look, setLook] = useState(0);
  useEffect(() => {
    const change = () => setLook((n) => n + 1);
    const media = matchMedia("(prefers-color-scheme: dark)");
    media.addEventListener("change", change);
    const watch = new MutationObserver(change);
    watch.observe(document.documentElement, { attributes: true });
    return () => {
      media.removeEventListener("change", change);
      watch.disconnect();
    };
  }, []);
  return look;
}

let lastId = 0;

// An id that no other plot of the page has.
export function usePlotId(prefix: string): string {
  const [id] = useState(() => `${prefix}-${(lastId += 1)}`);
  return id;
}
