// The room Sky: what stands above the antenna, what of it is received, and how
// strongly. All of it comes with the feed, every five seconds.
import { signal } from "@preact/signals";
import type { ComponentChildren, JSX } from "preact";
import { useEffect } from "preact/hooks";
import { Dome } from "../plot/dome_view.tsx";
import { compareIds, systemLook, windWord } from "../plot/dome.ts";
import { LevelPlot } from "../plot/level_view.tsx";
import { InlineMark } from "../plot/marks.tsx";
import {
  commonDirection, levelSummary, missing, placeless, skySummary, strongest, systemOf, trend,
  whereWords,
} from "../plot/sky_words.ts";
import { Twin } from "../plot/twin.tsx";
import { sky } from "../state.ts";
import type { Sky, SkySatellite } from "../types.ts";
import { list, number, plural, quantity } from "../ui/format.ts";
import { Panel, type Absent } from "../ui/panel.tsx";

// The satellite that all pictures of the room point at.
const chosen = signal<string | null>(null);
const choose = (id: string | null): void => {
  chosen.value = id;
};

const toNow = (
  <a class="button" href="#/now">
    See what the receiver does
  </a>
);

const first =
  (will: string) =>
  (data: Sky): Absent | null =>
    data.satellites.length > 0 || data.tracks.length > 0
      ? null
      : { will, why: "Nothing has been received yet since the station was started.", action: toNow };

const empty =
  (will: string) =>
  (data: Sky): Absent | null =>
    data.satellites.length > 0
      ? null
      : {
          will,
          why: "The receiver is silent, or the antenna is not connected. With the first satellite all of this comes back.",
          action: toNow,
        };

export function SkyRoom(): JSX.Element {
  useEffect(() => {
    if (sky.data.value === null) sky.reload();
  }, []);
  return (
    <div class="sky-room">
      <Panel
        title="Above the antenna"
        resource={sky}
        first={first("The satellites above the antenna will stand here.")}
        empty={empty("No satellite is received at present.")}
        class="sky-dome"
      >
        {(data) => <Above data={data} />}
      </Panel>
      <Panel
        title="By system"
        resource={sky}
        first={first("How many of each system are received will stand here.")}
        empty={empty("No system is received at present.")}
        class="sky-systems"
      >
        {(data) => <Systems data={data} />}
      </Panel>
      <Panel
        title="Strength by elevation"
        resource={sky}
        first={first("The strength of each satellite will be drawn here.")}
        empty={empty("There is no signal to measure at present.")}
        class="sky-levels"
      >
        {(data) => (
          <>
            <p>
              The strongest signal of each satellite, in dB-Hz; short lines are the mean of five
              degrees. {levelSummary(data)}
            </p>
            <LevelPlot sky={data} summary={levelSummary(data)} chosen={chosen.value} choose={choose} />
          </>
        )}
      </Panel>
    </div>
  );
}

function Above(props: { data: Sky }): JSX.Element {
  const { data } = props;
  const picked = data.satellites.find((s) => s.id === chosen.value);
  const seen = data.satellites.filter((s) => s.seen).length;
  return (
    <div class="sky-above">
      <div class="sky-picture">
        <Dome sky={data} summary={skySummary(data)} chosen={chosen.value} choose={choose} />
        <p class="small-print">
          North is up. Equal areas of the disc are equal parts of the sky. Filled: received; hollow:
          above the horizon and not received. Lines: the last three hours, fading.
        </p>
      </div>
      <div class="sky-words">
        <p class="sky-count">
          <strong>{number(seen)}</strong> {seen === 1 ? "satellite" : "satellites"} received
        </p>
        <Missing data={data} />
        <Placeless satellites={placeless(data)} />
        {picked === undefined ? (
          <p class="sky-hint">
            Touch a mark, or move through the picture with the arrow keys, to see one satellite.
          </p>
        ) : (
          <Details satellite={picked} data={data} />
        )}
        <SkyTable data={data} />
      </div>
    </div>
  );
}

const kNamed = 6;

function Missing(props: { data: Sky }): JSX.Element {
  const lost = missing(props.data);
  if (lost.length === 0) return <p>Nothing that stands above the horizon is missing.</p>;
  const rest = lost.length - kNamed;
  return (
    <div class="sky-missing">
      <p>{plural(lost.length, "satellite")} above the horizon and not received:</p>
      <ul>
        {lost.slice(0, kNamed).map((s) => (
          <li key={s.id}>
            <Pick id={s.id}>
              <InlineMark system={systemOf(s.id)} seen={false} /> {s.id}
            </Pick>{" "}
            <span>{whereWords(s)}</span>
          </li>
        ))}
      </ul>
      {rest > 0 ? <p class="small-print">and {plural(rest, "lower one")}; the table has them all.</p> : null}
      {commonDirection(lost) === null ? null : <p>{commonDirection(lost)}</p>}
    </div>
  );
}

function Placeless(props: { satellites: SkySatellite[] }): JSX.Element | null {
  if (props.satellites.length === 0) return null;
  return (
    <p>
      Received, but where they stand is not known before their ephemerides come:{" "}
      {list(props.satellites.map((s) => s.id))}.
    </p>
  );
}

function Pick(props: { id: string; children: ComponentChildren }): JSX.Element {
  const mine = chosen.value === props.id;
  return (
    <button
      type="button"
      class="sky-pick"
      aria-pressed={mine ? "true" : "false"}
      onClick={() => choose(mine ? null : props.id)}
    >
      {props.children}
    </button>
  );
}

function Details(props: { satellite: SkySatellite; data: Sky }): JSX.Element {
  const { satellite, data } = props;
  const way = trend(data.tracks.find((t) => t.id === satellite.id));
  return (
    <div class="sky-details">
      <h3>
        <InlineMark system={systemOf(satellite.id)} seen={satellite.seen} /> {satellite.id},{" "}
        {systemLook(systemOf(satellite.id)).name}
      </h3>
      <p>
        {satellite.seen ? "Received" : "Not received"}
        {satellite.elevation_deg === null || satellite.azimuth_deg === null
          ? "; where it stands is not known yet"
          : `; in the ${windWord(satellite.azimuth_deg)} at azimuth ${number(satellite.azimuth_deg)}°, elevation ${number(satellite.elevation_deg)}°`}
        {way === null ? "" : `, ${way}`}.
      </p>
      {satellite.signals.length === 0 ? null : (
        <dl class="sky-signals">
          {satellite.signals.map((s) => (
            <div key={s.code}>
              <dt>{s.code}</dt>
              <dd>{quantity(s.cn0_dbhz, "dB-Hz", 1)}</dd>
            </div>
          ))}
        </dl>
      )}
      <button type="button" class="button small" onClick={() => choose(null)}>
        Leave it
      </button>
    </div>
  );
}

// Each system as a row of its marks: those received filled, the others hollow.
function Systems(props: { data: Sky }): JSX.Element {
  return (
    <ul class="systems">
      {props.data.systems.map((s) => {
        const look = systemLook(s.system);
        const hollow = Math.max(0, s.above - s.seen);
        return (
          <li key={s.system}>
            <span class="systems-name">{look.name}</span>
            <span class="systems-marks" aria-hidden="true">
              {Array.from({ length: s.seen }, (_, i) => (
                <InlineMark key={i} system={s.system} seen />
              ))}
              {Array.from({ length: hollow }, (_, i) => (
                <InlineMark key={s.seen + i} system={s.system} seen={false} />
              ))}
            </span>
            <span class="systems-words">
              {number(s.seen)} of {number(Math.max(s.above, s.seen))} received
            </span>
          </li>
        );
      })}
    </ul>
  );
}

function SkyTable(props: { data: Sky }): JSX.Element {
  const rows = [...props.data.satellites].sort((a, b) => compareIds(a.id, b.id));
  return (
    <Twin
      caption="Satellites above the antenna"
      head={["Satellite", "Received", "Azimuth", "Elevation", "Strongest", "Signals"]}
      rows={() =>
        rows.map((s) => [
          s.id,
          s.seen ? "yes" : "no",
          s.azimuth_deg === null ? "not known" : `${number(s.azimuth_deg)}°`,
          s.elevation_deg === null ? "not known" : `${number(s.elevation_deg)}°`,
          quantity(strongest(s), "dB-Hz", 1),
          s.signals.map((signal) => signal.code).join(" "),
        ])
      }
      file="sky"
      csv={() => ({
        head: ["time", "satellite", "seen", "azimuth_deg", "elevation_deg", "signal", "cn0_dbhz"],
        rows: rows.flatMap((s) =>
          (s.signals.length === 0 ? [{ code: null, cn0_dbhz: null }] : s.signals).map((signal) => [
            props.data.now, s.id, s.seen, s.azimuth_deg, s.elevation_deg, signal.code, signal.cn0_dbhz,
          ]),
        ),
      })}
    />
  );
}
