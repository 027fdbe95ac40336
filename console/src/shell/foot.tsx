// The foot of every page: the station's clock, cautions, looks, who is here.
import type { JSX } from "preact";
import { feed, now, session, stationNow_ms } from "../state.ts";
import { chooseTheme, theme, type Theme } from "../theme.ts";
import type { Door } from "../types.ts";
import { kRoles, utc } from "../ui/format.ts";

const kThemes: { value: Theme; words: string }[] = [
  { value: "device", words: "As this device" },
  { value: "light", words: "Light" },
  { value: "dark", words: "Dark" },
];

export function ThemeChoice(): JSX.Element {
  return (
    <label class="theme">
      Looks{" "}
      <select value={theme.value} onChange={(event) => chooseTheme(event.currentTarget.value as Theme)}>
        {kThemes.map((one) => (
          <option key={one.value} value={one.value}>
            {one.words}
          </option>
        ))}
      </select>
    </label>
  );
}

export function Foot(props: { door: Door }): JSX.Element {
  const at = now.data.value;
  const who = session.value;
  return (
    <footer class="foot">
      <p>
        {at === null
          ? "The station's clock is not known yet."
          : `The station's clock: ${utc(stationNow_ms(), feed.value === "live")}`}
      </p>
      <p>
        <a href="#/cautions">Cautions</a>
      </p>
      {who === null ? null : (
        <p>
          <a href="#/people">
            {who.name}, {kRoles[who.role]}
          </a>
        </p>
      )}
      <ThemeChoice />
      <p class="small-print">
        Stillpoint {props.door.version}
        {props.door.simulated ? ", simulated station" : ""} (<a href="/licences.txt">licences</a> of what the
        page is made of)
      </p>
    </footer>
  );
}
