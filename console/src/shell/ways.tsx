// The ways to the rooms: a list at the side where there is width, a bar with words
// at the bottom where there is not; there the later rooms are one step away.
import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import type { RoomName } from "../state.ts";

// How many rooms the narrow bar shows before "More".
const kFirst = 4;

export function Ways(props: {
  rooms: readonly RoomName[];
  names: Record<RoomName, string>;
  at: RoomName;
}): JSX.Element {
  const [open, set] = useState(false);
  const more = useRef<HTMLButtonElement>(null);
  const hidden = props.rooms.slice(kFirst);
  const inside = hidden.includes(props.at) && !open;
  const way = (name: RoomName, later: boolean): JSX.Element => (
    <li key={name} class={later ? "later" : undefined}>
      <a
        href={`#/${name}`}
        aria-current={name === props.at ? "page" : undefined}
        onClick={() => set(false)}
      >
        {props.names[name]}
      </a>
    </li>
  );
  return (
    <nav
      class={open ? "ways open" : "ways"}
      aria-label="Rooms"
      onKeyDown={(event) => {
        if (event.key !== "Escape" || !open) return;
        set(false);
        more.current?.focus();
      }}
    >
      <ul>
        {props.rooms.map((name, index) => way(name, index >= kFirst))}
        <li class="more">
          <button
            ref={more}
            type="button"
            class={inside ? "here" : undefined}
            aria-expanded={open ? "true" : "false"}
            onClick={() => set(!open)}
          >
            {inside ? (
              <>
                {props.names[props.at]} …<span class="unseen"> here; more rooms</span>
              </>
            ) : open ? (
              "Less"
            ) : (
              "More"
            )}
          </button>
        </li>
      </ul>
    </nav>
  );
}
