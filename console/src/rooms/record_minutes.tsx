// The minutes: epochs, satellites and strength, with one cursor.
import { signal } from "@preact/signals";
import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import { Chart } from "../plot/chart.tsx";
import type { Line, LineLook, Pane } from "../plot/draw.ts";
import { bucketSize, buckets, usualStep, type Buckets } from "../plot/columns.ts";
import { minutesSummary } from "../plot/record_words.ts";
import { momentLabel, plainRange } from "../plot/scale.ts";
import { Twin } from "../plot/twin.tsx";
import type { RecordDoc } from "../types.ts";
import { number, plural, quantity, span, utc } from "../ui/format.ts";

const row = signal<number | null>(null);
const kMinutes = 60;

export function Minutes(props: { doc: RecordDoc }): JSX.Element {
  const { minutes } = props.doc;
  const drawn = useMemo(() => columnsOf(minutes), [minutes]);
  const panes = useMemo<Pane[]>(() => {
    const { satellites, strength, epochs } = drawn;
    return [
      {
        title: "Satellites",
        lines: [line("Satellites", "a", satellites, (v) => number(v, Number.isInteger(v) ? 0 : 1))],
        range: plainRange([...satellites.low, ...satellites.high]),
        height: 110,
      },
      {
        title: "Mean strength [dB-Hz]",
        lines: [line("Strength", "b", strength, (v) => quantity(v, "dB-Hz", 1))],
        range: plainRange([...strength.low, ...strength.high]),
        height: 110,
      },
      {
        title: "Epochs in the minute",
        lines: [line("Epochs", "c", epochs, (v) => number(v, Number.isInteger(v) ? 0 : 1))],
        range: plainRange([...epochs.low, ...epochs.high], 0),
        height: 90,
      },
    ];
  }, [drawn]);
  const at = row.value !== null && row.value < drawn.x.length ? row.value : null;
  return (
    <>
      <p>
        {minutesSummary(minutes)}
        {drawn.size_s > 60
          ? ` Drawn are the means of ${span(drawn.size_s)} each; the band reaches from the lowest to the highest minute.`
          : ""}
      </p>
      <Chart
        label="Minutes on record"
        x={drawn.x}
        time
        xTitle="UTC"
        xWords={momentLabel}
        panes={panes}
        row={at}
        onRow={(next) => (row.value = next)}
      />
      <Twin
        caption="Means of each hour"
        head={["Hour", "Minutes", "Satellites", "Strength", "Epochs"]}
        rows={() => hourMeans(minutes).map((h) => [
          utc(h.start_s * 1000),
          plural(h.minutes, "minute"),
          h.satellites === null ? "not known" : number(h.satellites, 1),
          quantity(h.strength, "dB-Hz", 1),
          number(h.epochs),
        ])}
        note="Means of each hour, the newest first, at most 200; the file has every minute."
        file="record-minutes"
        csv={() => ({
          head: ["unix_s", "epochs", "satellites", "cn0_dbhz"],
          rows: minutes.unix_s.map((s, i) => [
            s, minutes.epochs[i] ?? null, minutes.satellites[i] ?? null, minutes.cn0_dbhz[i] ?? null,
          ]),
        })}
      />
    </>
  );
}

// At most so many points across: more would be a blot.
const kMostPoints = 400;

interface Drawn {
  x: number[];
  size_s: number;
  satellites: Buckets;
  strength: Buckets;
  epochs: Buckets;
}

function columnsOf(minutes: RecordDoc["minutes"]): Drawn {
  const x = minutes.unix_s;
  const length_s = (x.at(-1) ?? 0) - (x[0] ?? 0);
  const size_s = Math.max(bucketSize(length_s, kMostPoints), usualStep(x));
  const satellites = buckets(x, minutes.satellites, size_s);
  return {
    x: satellites.x,
    size_s,
    satellites,
    strength: buckets(x, minutes.cn0_dbhz, size_s),
    // A minute that was never counted had no epoch.
    epochs: buckets(x, minutes.epochs, size_s, 0),
  };
}

function line(label: string, look: LineLook, column: Buckets, say: (value: number) => string): Line {
  const words = (value: number, at: number): string => {
    const low = column.low[at] ?? value;
    const high = column.high[at] ?? value;
    const plain = (v: number) => number(v, Number.isInteger(v) ? 0 : 1);
    return low === high ? say(value) : `${say(value)} (${plain(low)} to ${plain(high)})`;
  };
  return { label, look, values: column.mean, low: column.low, high: column.high, words };
}

interface HourMean {
  start_s: number;
  minutes: number;
  satellites: number | null;
  strength: number | null;
  epochs: number;
}

function hourMeans(minutes: RecordDoc["minutes"]): HourMean[] {
  const rows = new Map<number, number[]>();
  minutes.unix_s.forEach((s, i) => {
    const hour = Math.floor(s / 3600) * 3600;
    const list = rows.get(hour);
    if (list) list.push(i);
    else rows.set(hour, [i]);
  });
  const mean = (at: readonly number[], column: readonly (number | null)[]): number | null => {
    const values = at.map((i) => column[i] ?? null).filter((v): v is number => v !== null);
    return values.length === 0 ? null : values.reduce((sum, v) => sum + v, 0) / values.length;
  };
  return [...rows]
    .sort((a, b) => b[0] - a[0])
    .slice(0, 200)
    .map(([start_s, at]) => ({
      start_s,
      minutes: Math.min(kMinutes, at.filter((i) => (minutes.epochs[i] ?? 0) > 0).length),
      satellites: mean(at, minutes.satellites),
      strength: mean(at, minutes.cn0_dbhz),
      epochs: at.reduce((sum, i) => sum + (minutes.epochs[i] ?? 0), 0),
    }));
}
