// Which page stands in the window: the wait for the door, the claim, the sign-in,
// or the house with its rooms.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { Announcer } from "./ui/announce.tsx";
import { Failed } from "./ui/panel.tsx";
import { ClaimPage } from "./rooms/claim.tsx";
import { SignInPage } from "./rooms/sign_in.tsx";
import { House } from "./shell/house.tsx";
import { SimulatedLabel } from "./shell/simulated.tsx";
import { door, doorProblem, lookAtDoor, now } from "./state.ts";
import type { Door } from "./types.ts";

export function App(): JSX.Element {
  return (
    <>
      <SimulatedLabel />
      <Page />
      <Announcer />
    </>
  );
}

function Page(): JSX.Element {
  const at = door.value;
  if (at === null) return <Waiting />;
  if (!at.claimed) return <ClaimPage door={at} />;
  return at.session === null ? <SignInPage door={at} /> : <Inside door={at} />;
}

// How long the house waits for the first word of the station, so that the head
// does not push the room down a moment later.
const kHold_ms = 700;

function Inside(props: { door: Door }): JSX.Element {
  const [held, hold] = useState(true);
  useEffect(() => {
    const timer = setTimeout(() => hold(false), kHold_ms);
    return () => clearTimeout(timer);
  }, []);
  const known = now.data.value !== null || now.problem.value !== null;
  return held && !known ? <Waiting /> : <House door={props.door} />;
}

const kRetry_ms = 5000;

function Waiting(): JSX.Element {
  const problem = doorProblem.value;
  useEffect(() => {
    document.title = "Stillpoint";
    if (problem === null) return undefined;
    const timer = setTimeout(() => void lookAtDoor(), kRetry_ms);
    return () => clearTimeout(timer);
  }, [problem]);
  return (
    <main class="door">
      <h1>Stillpoint</h1>
      {problem === null ? (
        <p>Asking the station…</p>
      ) : (
        <>
          <Failed problem={problem} retry={() => void lookAtDoor()} />
          <p class="small-print">It is asked again every five seconds.</p>
        </>
      )}
    </main>
  );
}
