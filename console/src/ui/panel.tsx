// A part of a room that shows one document. It makes the five states a matter of
// the type: whoever writes a panel has to say what stands there at first use and
// when there is nothing to show, and gets loading, error and age for free.
import type { ComponentChildren, JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { feed, knownAt_ms, tick, type Resource } from "../state.ts";
import { span } from "./format.ts";
import type { Problem } from "../types.ts";

// Nothing there yet, or nothing there at all.
export interface Absent {
  // What will stand here, and why it does not yet.
  will: string;
  why: string;
  // The one thing that can be done about it.
  action?: ComponentChildren;
}

export interface PanelProps<T> {
  title: string;
  resource: Resource<T>;
  // Of a document that has come: what to say where this part was never used;
  // null where it was.
  first: (data: T) => Absent | null;
  // The same where there is nothing to show at present.
  empty: (data: T) => Absent | null;
  children: (data: T) => ComponentChildren;
  // Beside the title: a link, a button.
  aside?: ComponentChildren;
  class?: string;
  level?: 2 | 3;
}

export type PanelKind = "loading" | "error" | "first" | "nodata" | "ready" | "stale";

// Which of the states a panel is in.
export function panelKind<T>(
  data: T | null,
  problem: Problem | null,
  frozen: boolean,
  first: (data: T) => Absent | null,
  empty: (data: T) => Absent | null,
): PanelKind {
  if (data === null) return problem === null ? "loading" : "error";
  if (problem !== null || frozen) return "stale";
  if (first(data) !== null) return "first";
  return empty(data) !== null ? "nodata" : "ready";
}

export function Panel<T>(props: PanelProps<T>): JSX.Element {
  const { resource, title } = props;
  const data = resource.data.value;
  const problem = resource.problem.value;
  const kind = panelKind(data, problem, feed.value === "frozen", props.first, props.empty);
  const [late, setLate] = useState(false);
  const Title = props.level === 3 ? "h3" : "h2";
  const absent = data === null ? null : (props.first(data) ?? props.empty(data));
  return (
    <section
      class={`panel ${props.class ?? ""}`}
      data-state={kind}
      data-late={late ? "true" : undefined}
      aria-busy={kind === "loading" ? "true" : undefined}
    >
      <div class="panel-head">
        <Title>{title}</Title>
        {props.aside === undefined ? null : <div class="panel-aside">{props.aside}</div>}
      </div>
      {kind === "loading" ? <Loading late={() => setLate(true)} /> : null}
      {kind === "error" && problem !== null ? (
        <Failed problem={problem} retry={() => resource.reload()} />
      ) : null}
      {kind === "stale" ? <Old resource={resource} problem={problem} /> : null}
      {data === null ? null : (
        <div class={kind === "stale" ? "panel-body old" : "panel-body"}>
          {absent === null ? props.children(data) : <Nothing absent={absent} />}
        </div>
      )}
    </section>
  );
}

const kQuiet_ms = 350;
const kLate_ms = 2500;

// Quiet for the first third of a second: most answers are faster. The parts below
// are held back meanwhile (parts.css), so that what is read does not jump, until
// this one is late.
function Loading(props: { late: () => void }): JSX.Element {
  const [shown, show] = useState(false);
  useEffect(() => {
    const timers = [setTimeout(() => show(true), kQuiet_ms), setTimeout(props.late, kLate_ms)];
    return () => timers.forEach(clearTimeout);
  }, []);
  return (
    <div class={shown ? "loading shown" : "loading"}>
      <p>Asking the station…</p>
      <div class="bar wide" />
      <div class="bar" />
    </div>
  );
}

export function Failed(props: { problem: Problem; retry: () => void }): JSX.Element {
  return (
    <div class="failed">
      <p>
        <strong>{props.problem.detail}</strong> {props.problem.remedy ?? ""}
      </p>
      <button type="button" class="button" onClick={props.retry}>
        Try again
      </button>
    </div>
  );
}

export function Nothing(props: { absent: Absent }): JSX.Element {
  return (
    <div class="nothing">
      <p class="nothing-will">{props.absent.will}</p>
      <p>{props.absent.why}</p>
      {props.absent.action === undefined ? null : <div class="actions">{props.absent.action}</div>}
    </div>
  );
}

function Old(props: { resource: Resource<unknown>; problem: Problem | null }): JSX.Element {
  const age = span(Math.max(0, tick.value - knownAt_ms(props.resource)) / 1000);
  return (
    <div class="old-note">
      <p>
        <strong>As it was {age} ago.</strong> {props.problem?.detail ?? ""}
      </p>
      {props.problem === null ? null : (
        <button type="button" class="button" onClick={() => props.resource.reload()}>
          Try again
        </button>
      )}
    </div>
  );
}
