// On the demo every page says what it is.
import type { JSX } from "preact";
import { simulated } from "../state.ts";

export function SimulatedLabel(): JSX.Element | null {
  if (!simulated.value) return null;
  return (
    <aside class="simulated" aria-label="What this is">
      <p>
        <strong>Simulated.</strong> This station, its sky and its rovers are invented.
      </p>
    </aside>
  );
}
