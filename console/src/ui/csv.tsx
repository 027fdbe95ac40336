// A button that fetches a document as a table and hands it to the browser to keep.
// A plain link cannot ask for text/csv, so the request is made here.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { kRoot } from "../api.ts";
import { announce } from "./announce.tsx";

export async function keepCsv(path: string, name: string): Promise<boolean> {
  try {
    const answer = await fetch(kRoot + path, {
      headers: { Accept: "text/csv" },
      credentials: "same-origin",
      cache: "no-store",
    });
    if (!answer.ok) return false;
    const address = URL.createObjectURL(await answer.blob());
    const link = document.createElement("a");
    link.href = address;
    link.download = name;
    document.body.appendChild(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 10000);
    return true;
  } catch {
    return false;
  }
}

export function CsvButton(props: { path: string; name: string; words: string }): JSX.Element {
  const [failed, fail] = useState(false);
  const go = async (): Promise<void> => {
    const done = await keepCsv(props.path, props.name);
    fail(!done);
    if (!done) announce("The table could not be fetched.");
  };
  return (
    <button type="button" class="button small" onClick={() => void go()}>
      {failed ? "Not fetched: try again" : props.words}
    </button>
  );
}
