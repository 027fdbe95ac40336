// The first room. The head above has the sentence; here stand the way to trust,
// what arrives and goes out at this moment, and the job at work.
import type { JSX } from "preact";
import { now } from "../state.ts";
import type { Now, Reason, RoadStep, StepName } from "../types.ts";
import { Facts, type Fact } from "../ui/facts.tsx";
import { ago, bytes, number, plural, quantity, span } from "../ui/format.ts";
import { StateGlyph, StepGlyph } from "../ui/glyph.tsx";
import { JobCard } from "../ui/job.tsx";
import { Panel, type Absent } from "../ui/panel.tsx";
import { When } from "../ui/when.tsx";

const kSteps: Record<StepName, string> = {
  signal: "Signal",
  ephemerides: "Orbits",
  position: "First position",
  record: "Recording",
  certainty: "Certainty",
  adopted: "Adopted coordinate",
  trusted: "Trust",
  rovers: "Rovers",
};
const kStepStates: Record<RoadStep["state"], string> = {
  done: "done",
  working: "in work",
  waiting: "to come",
  stopped: "held up",
};

export function NowRoom(): JSX.Element {
  // Once the whole way is gone it is history, and what happens now comes first.
  const road = now.data.value?.road ?? [];
  const gone = road.length > 0 && road.every((step) => step.state === "done");
  // One reason is said in full by the head.
  const trust = now.data.value?.trust;
  const all = (trust?.reasons.length ?? 0) + (trust?.warnings.length ?? 0);
  return (
    <>
      {all > 1 ? (
        <Panel title="All that is to be said about it" resource={now} first={() => null} empty={() => null}>
          {(at) => <Reasons at={at} />}
        </Panel>
      ) : null}
      <Columns gone={gone} />
    </>
  );
}

function Reasons(props: { at: Now }): JSX.Element {
  const { reasons, warnings } = props.at.trust;
  const item = (reason: Reason, mark: JSX.Element): JSX.Element => (
    <li key={`${reason.part} ${reason.code}`}>
      {mark}
      <div>
        <p>
          <strong>{reason.what}</strong>{" "}
          {reason.since === null ? null : (
            <span class="since">
              Since <When at={reason.since} />.
            </span>
          )}
        </p>
        {reason.remedy === "" ? null : <p>{reason.remedy}</p>}
      </div>
    </li>
  );
  return (
    <ul class="reasons">
      {reasons.map((reason) => item(reason, <StateGlyph state={reason.state} />))}
      {warnings.map((reason) => item(reason, <span class="to-note">To note</span>))}
    </ul>
  );
}

function Columns(props: { gone: boolean }): JSX.Element {
  return (
    <div class={props.gone ? "columns gone" : "columns"}>
      <Panel title="The way to trust" resource={now} first={() => null} empty={noRoad} class="road-panel">
        {(at) => <Road road={at.road} />}
      </Panel>
      <div>
        <Panel title="At this moment" resource={now} first={noSignalYet} empty={() => null}>
          {(at) => <Facts facts={factsOf(at)} />}
        </Panel>
        <Panel
          title="Work in hand"
          resource={now}
          first={() => null}
          empty={noJob}
          aside={<Earlier />}
        >
          {(at) => (at.job === null ? null : <JobCard job={at.job} />)}
        </Panel>
      </div>
    </div>
  );
}

function noRoad(at: Now): Absent | null {
  if (at.road.length > 0) return null;
  return {
    will: "The eight steps from the first signal to rovers that work.",
    why: "The station has just started and has not looked yet; this takes a few seconds.",
  };
}

function noSignalYet(at: Now): Absent | null {
  if (at.receiver.bytes > 0 || at.receiver.state === "open") return null;
  return {
    will: "What the receiver sends, what is recorded and who listens.",
    why:
      at.receiver.why === ""
        ? "Not one byte has come from the receiver since the station started."
        : `Not one byte has come from the receiver since the station started: ${at.receiver.why}`,
    action: (
      <a class="button" href="#/logbook">
        Look into the logbook
      </a>
    ),
  };
}

function noJob(at: Now): Absent | null {
  if (at.job !== null) return null;
  return {
    will: "A computation or an export while it runs.",
    why: "Nothing is being computed. The station starts work by itself when enough has been recorded.",
  };
}

// Computations are kept in one room, exports in another.
function Earlier(): JSX.Element {
  const room = now.data.value?.job?.kind === "export" ? "record" : "coordinate";
  return <a href={`#/${room}`}>Earlier work</a>;
}

function Road(props: { road: RoadStep[] }): JSX.Element {
  return (
    <ol class="road">
      {props.road.map((step) => (
        <li key={step.step} data-step={step.state} aria-current={step.state === "working" ? "step" : undefined}>
          <StepGlyph state={step.state} />
          <div>
            <p class="step-name">
              {kSteps[step.step] ?? step.step}
              <span class="step-state">
                {kStepStates[step.state] ?? step.state}
                {step.state === "done" && step.since !== null ? (
                  <>
                    {" "}
                    <When at={step.since} show="age" />
                  </>
                ) : null}
                {step.remaining_s === null ? "" : `, about ${span(step.remaining_s)} to go`}
              </span>
            </p>
            <p class="step-what">{step.what}</p>
          </div>
        </li>
      ))}
    </ol>
  );
}

function factsOf(at: Now): Fact[] {
  return [receiverFact(at), dataFact(at), recordingFact(at), roversFact(at)];
}

function receiverFact(at: Now): Fact {
  const { receiver } = at;
  const since = receiver.since === null ? null : <When at={receiver.since} />;
  const words: Record<Now["receiver"]["state"], string> = {
    opening: "Its line is being opened",
    open: "Sends",
    silent: "Silent",
    waiting: "Its line could not be opened; another try follows",
    ended: "Its source has come to its end",
  };
  return {
    name: "Receiver",
    value: (
      <>
        {words[receiver.state] ?? receiver.state}
        {since === null ? null : <> since {since}</>}
        {receiver.why === "" ? "" : `: ${receiver.why}`}
      </>
    ),
    more: (
      <>
        {bytes(receiver.bytes)} so far, the last byte{" "}
        {receiver.last_byte_age_s === null ? "has not come yet" : ago(receiver.last_byte_age_s)}
        {receiver.source === null ? "" : `, from ${receiver.source}`}
      </>
    ),
    amiss: receiver.state !== "open" && receiver.state !== "opening",
  };
}

function dataFact(at: Now): Fact {
  const { data } = at;
  const all = data.epochs_received + data.epochs_missed;
  const missed =
    data.epochs_missed === 0
      ? "none missing"
      : `${number(data.epochs_missed)} of ${number(all)} missing`;
  return {
    name: "Observations",
    value:
      data.last_epoch === null
        ? "None understood yet"
        : `${plural(data.satellites ?? 0, "satellite")}, mean C/N0 ${quantity(data.cn0_mean_dbhz, "dB-Hz", 1)}`,
    more:
      data.last_epoch === null ? undefined : (
        <>
          {plural(data.epochs_received, "epoch")} received, {missed}; the last {ago(data.last_epoch_age_s)}
        </>
      ),
    amiss: data.last_epoch === null,
  };
}

function recordingFact(at: Now): Fact {
  const { recording } = at;
  const words: Record<Now["recording"]["state"], string> = {
    idle: "Waits for bytes",
    recording: "Every byte goes to the disk",
    cannot_write: "Cannot write",
    off: "Switched off in station.toml",
  };
  const behind =
    recording.end_offset === null || recording.durable_offset === null
      ? null
      : recording.end_offset - recording.durable_offset;
  const lost =
    recording.dropped_bytes > 0 ? `; ${bytes(recording.dropped_bytes)} were lost before they reached the disk` : "";
  return {
    name: "Recording",
    value: `${words[recording.state] ?? recording.state}${recording.why === "" ? "" : `: ${recording.why}`}`,
    more: `${behind === null ? "" : `${behind === 0 ? "All of it is safe on the disk" : `Safe on the disk but for the last ${bytes(behind)}`}; `}${bytes(recording.disk_free_bytes)} free${lost}`,
    amiss: recording.state === "cannot_write" || recording.dropped_bytes > 0,
  };
}

function roversFact(at: Now): Fact {
  const count = at.rovers.connected;
  return {
    name: "Rovers",
    value: count === 0 ? "None connected" : `${plural(count, "rover")} connected`,
    more: <a href="#/stream">What they get</a>,
  };
}
