// The head of every page: whose station this is, and the one sentence. On the
// first page the sentence is large; all its reasons stand in the room below.
import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { feed, now, silence_ms, stationNow_ms } from "../state.ts";
import type { Door, Now, TrustState } from "../types.ts";
import { announce } from "../ui/announce.tsx";
import { capital, span } from "../ui/format.ts";
import { kStateWords, StateGlyph } from "../ui/glyph.tsx";

export function Head(props: { door: Door; full: boolean }): JSX.Element {
  const at = now.data.value;
  useAnnounced(at);
  return (
    <header
      class={props.full ? "head full" : "head"}
      data-trust={at === null || feed.value === "frozen" ? "unknown" : at.trust.state}
    >
      <p class="whose">
        <strong>{props.door.station}</strong>
        {props.door.place === null || props.door.place === "" ? null : <span>{props.door.place}</span>}
      </p>
      {at === null ? <NotYet /> : <Verdict at={at} full={props.full} />}
    </header>
  );
}

function NotYet(): JSX.Element {
  const problem = now.problem.value;
  return (
    <div class="verdict">
      <p class="sentence">
        {problem === null && feed.value !== "frozen"
          ? "Asking the station how it is…"
          : (problem?.detail ?? "The station has not said yet how it is.")}
      </p>
    </div>
  );
}

// The station's sentence, cut where it is set apart: the state in front, the next
// step behind. What cannot be cut so is shown as it came.
export interface Spoken {
  state: string;
  rest: string;
  next: string | null;
}

export function spoken(sentence: string, state: TrustState): Spoken {
  const word = kStateWords[state];
  const [first = "", ...more] = sentence.split(" Next: ");
  const begins = first.toLowerCase().startsWith(word.toLowerCase());
  return {
    state: word,
    rest: begins ? first.slice(word.length) : `: ${first}`,
    next: more.length === 0 ? null : capital(more.join(" Next: ")),
  };
}

// Where the sentence names no next step: what the road waits for, if for anything.
export function nextOnRoad(at: Now): string | null {
  const step = at.road.find((one) => one.state === "working" || one.state === "stopped");
  if (step === undefined) return null;
  return step.remaining_s === null ? step.what : `${step.what} About ${span(step.remaining_s)} to go.`;
}

function Verdict(props: { at: Now; full: boolean }): JSX.Element {
  const { trust } = props.at;
  const frozen = feed.value === "frozen";
  const words = spoken(trust.sentence, trust.state);
  const next = words.next ?? (props.full ? nextOnRoad(props.at) : null);
  const age = frozen && silence_ms.value !== null ? `, as told ${span(silence_ms.value / 1000)} ago` : "";
  return (
    <div class={frozen ? "verdict old" : "verdict"}>
      <StateGlyph state={trust.state} />
      <div>
        <p class="sentence">
          <strong class="state">{words.state}</strong>
          {words.rest}
        </p>
        {next === null ? null : (
          <p class="next">
            <strong>Next:</strong> {next}
          </p>
        )}
        {props.full || frozen ? (
          <p class="since">
            It has been so for {span((stationNow_ms() - Date.parse(trust.since)) / 1000)}
            {age}.
          </p>
        ) : null}
      </div>
    </div>
  );
}

// Says aloud when the state changes, not when it is first known.
function useAnnounced(at: Now | null): void {
  const before = useRef<string | null>(null);
  const state = at?.trust.state ?? null;
  useEffect(() => {
    if (state === null || at === null) return;
    if (before.current !== null && before.current !== state) {
      announce(at.trust.sentence);
    }
    before.current = state;
  }, [state]);
}
