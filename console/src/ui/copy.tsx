// A button that copies. The clipboard interface exists in secure contexts only,
// and a station on plain HTTP is none: a selection of a hidden field serves there.
import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { announce } from "./announce.tsx";

async function copyText(words: string, beside: HTMLElement): Promise<boolean> {
  if (window.isSecureContext && navigator.clipboard !== undefined) {
    try {
      await navigator.clipboard.writeText(words);
      return true;
    } catch {
      // Refused by the browser: the older way below may still do.
    }
  }
  const field = document.createElement("textarea");
  field.value = words;
  field.className = "unseen";
  field.readOnly = true;
  // Inside an open dialog nothing outside of it can be selected.
  (beside.closest("dialog") ?? document.body).appendChild(field);
  field.select();
  const done = document.execCommand("copy");
  field.remove();
  beside.focus();
  return done;
}

// `what` ends the sentence "Copy …": "the token", "X, Y, Z".
export function CopyButton(props: { text: string; what: string }): JSX.Element {
  const [said, say] = useState<string | null>(null);
  const button = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    if (said === null) return undefined;
    const timer = setTimeout(() => say(null), 2500);
    return () => clearTimeout(timer);
  }, [said]);
  const copy = async (): Promise<void> => {
    if (button.current === null) return;
    const done = await copyText(props.text, button.current);
    const words = done ? "Copied" : "Not copied: select it by hand";
    say(words);
    announce(`${words}.`);
  };
  return (
    <button ref={button} type="button" class="button small" onClick={() => void copy()}>
      {said ?? `Copy ${props.what}`}
    </button>
  );
}
