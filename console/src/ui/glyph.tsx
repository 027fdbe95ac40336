// The four states as shapes, told apart without colour: a stone that lies still, one
// that is half laid, one that is cracked, one behind a bar. src/icons/ has the same
// four for the browser's tab.
import type { JSX } from "preact";
import type { TrustState } from "../types.ts";
import building from "../icons/building.svg?url";
import doubtful from "../icons/doubtful.svg?url";
import trusted from "../icons/trusted.svg?url";
import withheld from "../icons/withheld.svg?url";

export const kStateIcons: Record<TrustState, string> = { building, doubtful, trusted, withheld };

// The state in one word, as the head and the title say it.
export const kStateWords: Record<TrustState, string> = {
  building: "Building",
  trusted: "Trusted",
  doubtful: "Doubtful",
  withheld: "Withheld",
};

const kStone =
  "M6 22C3.6 15.5 8 8 14 6.6 20.5 5 27 9.5 27.2 16.6 27.3 23 24 26 16 26 10 26 7 25 6 22Z";
const kLaid =
  "M5.2 17.5H27.2C27.2 23.2 24 26 16 26 10 26 7 25 6 22 5.5 20.6 5.2 19 5.2 17.5Z";
const kLeft =
  "M13.6 6.8 12 12.2 15.8 16.2 12.2 20.6 13.8 26C9.4 25.8 6.9 24.7 6 22 3.7 15.6 7.8 8.2 13.6 6.8Z";
const kRight =
  "M16.8 7.6 15.2 12.8 19 16.8 15.4 21.2 17 27.4C25 27.2 28.6 24.4 28.5 18.2 28.3 11.6 23 7.4 16.8 7.6Z";
const kBar = "M3.6 24.4 26.6 3.2 29.4 6.4 6.4 27.4Z";
const kGround = "M1.5 29H30.5";

// Decoration beside a word that says the same.
export function StateGlyph(props: { state: TrustState }): JSX.Element {
  return (
    <svg class="glyph" viewBox="0 0 32 32" aria-hidden="true" data-glyph={props.state}>
      <path class="ground" d={kGround} />
      {props.state === "trusted" ? <path class="mass" d={kStone} /> : null}
      {props.state === "building" ? (
        <>
          <path class="edge open" d={kStone} />
          <path class="mass" d={kLaid} />
        </>
      ) : null}
      {props.state === "doubtful" ? (
        <>
          <path class="mass" d={kLeft} />
          <path class="mass" d={kRight} />
        </>
      ) : null}
      {props.state === "withheld" ? (
        <>
          <path class="edge" d={kStone} />
          <path class="mass bar" d={kBar} />
        </>
      ) : null}
    </svg>
  );
}

// A step of the road: laid, being laid, not yet, or in the way.
export function StepGlyph(props: { state: "done" | "working" | "waiting" | "stopped" }): JSX.Element {
  return (
    <svg class="glyph step-glyph" viewBox="0 0 32 32" aria-hidden="true">
      {props.state === "done" ? <path class="mass" d={kStone} /> : null}
      {props.state === "working" ? (
        <>
          <path class="edge open" d={kStone} />
          <path class="mass" d={kLaid} />
        </>
      ) : null}
      {props.state === "waiting" ? <path class="edge" d={kStone} /> : null}
      {props.state === "stopped" ? (
        <>
          <path class="edge" d={kStone} />
          <path class="mass bar" d={kBar} />
        </>
      ) : null}
    </svg>
  );
}
