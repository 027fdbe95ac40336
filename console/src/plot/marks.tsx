// A satellite's mark: its shape is the system, filled where it is received and
// hollow where it is not.
import type { JSX } from "preact";
import { markPath } from "./dome.ts";

export function Mark(props: {
  system: string;
  seen: boolean;
  size: number; // radius of the round one [px]
  x?: number;
  y?: number;
  chosen?: boolean;
}): JSX.Element {
  const state = props.seen ? "seen" : "unseen-mark";
  return (
    <path
      class={`mark ${state}${props.chosen === true ? " chosen" : ""}`}
      d={markPath(props.system, props.size)}
      transform={`translate(${props.x ?? 0} ${props.y ?? 0})`}
    />
  );
}

// The chosen one once more, above all others, with a ring around it.
export function ChosenMark(props: {
  system: string;
  seen: boolean;
  size: number;
  x: number;
  y: number;
}): JSX.Element {
  return (
    <g class="chosen-mark" aria-hidden="true">
      <circle class="dome-ring" cx={props.x} cy={props.y} r={props.size + 6} />
      <Mark {...props} chosen />
    </g>
  );
}

// The same in a line of text.
export function InlineMark(props: { system: string; seen: boolean }): JSX.Element {
  return (
    <svg class="inline-mark" width="16" height="16" viewBox="-8 -8 16 16" aria-hidden="true">
      <Mark system={props.system} seen={props.seen} size={5} />
    </svg>
  );
}
