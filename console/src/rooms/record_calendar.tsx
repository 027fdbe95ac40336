// The hours on record as a calendar, and the hour that is looked at.
import { signal } from "@preact/signals";
import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import { kRoot } from "../api.ts";
import { calendarDays, percent, recordBegins, seconds, tally, type Cell, type Day } from "../plot/calendar.ts";
import { CellGrid, type GridRow } from "../plot/cell_grid.tsx";
import { cellState, cellWords, dayWords, recordSummary, type Range } from "../plot/record_words.ts";
import { Twin } from "../plot/twin.tsx";
import { dataNow_ms, mayHelp } from "../state.ts";
import type { RecordDoc } from "../types.ts";
import { bytes, number, utc, utcClock, utcDay } from "../ui/format.ts";

const chosen = signal<number | null>(null);
const choose = (key: number | null): void => {
  chosen.value = key;
};
const kMostRows = 200;
const kHours = Array.from({ length: 24 }, (_, hour) => (hour % 3 === 0 ? String(hour) : ""));
const kDates = Array.from({ length: 31 }, (_, day) => ((day + 1) % 5 === 0 || day === 0 ? String(day + 1) : ""));

export function Calendar(props: {
  doc: RecordDoc;
  show: (range: Range) => void;
}): JSX.Element {
  const { doc } = props;
  const minute = Math.floor(dataNow_ms() / 60000);
  const days = useMemo(
    () =>
      calendarDays(recordBegins(seconds(doc.from), doc.hours, doc.gaps), seconds(doc.to), minute * 60, doc.hours, doc.gaps),
    [doc, minute],
  );
  const byHour = days.length <= 32;
  const rows = useMemo(() => (byHour ? hourRows(days) : monthRows(days)), [days, byHour]);
  return (
    <>
      <p>{recordSummary(days)}</p>
      <CellGrid
        label={byHour ? "Hours on record" : "Days on record"}
        summary={recordSummary(days)}
        columns={byHour ? kHours : kDates}
        rows={rows}
        chosen={chosen.value}
        choose={choose}
      />
      <Legend unit={byHour ? "hour" : "day"} />
      {byHour ? <HourDetails days={days} /> : <DayDetails days={days} show={props.show} />}
      <HourTable doc={doc} days={days} />
    </>
  );
}

function hourRows(days: readonly Day[]): GridRow[] {
  return days.map((day) => ({
    label: dayWords(day.startS, true),
    cells: day.cells.map((cell) => ({
      key: cell.startS, kind: cell.kind, share: cell.fill, words: cellWords(cell),
    })),
  }));
}

// Days as cells, a month a row, the newest month first.
function monthRows(days: readonly Day[]): GridRow[] {
  const months = new Map<string, Map<number, Day>>();
  for (const day of days) {
    const date = new Date(day.startS * 1000);
    const name = utcDay(day.startS * 1000).slice(-8);
    const month = months.get(name) ?? new Map<number, Day>();
    month.set(date.getUTCDate(), day);
    months.set(name, month);
  }
  return [...months].map(([name, held]) => ({
    label: name.replace(/ \d\d(\d\d)$/, " ’$1"),
    cells: Array.from({ length: 31 }, (_, i) => {
      const day = held.get(i + 1);
      if (day === undefined) return { key: -Date.parse(`1 ${name} UTC`) / 1000 - i, kind: "ahead" as const, share: null, words: `${i + 1} ${name}: not asked for` };
      const sum = tally([day]);
      const open = day.cells.some((c) => c.kind === "open");
      const kind = sum.hours === 0 ? "ahead" : sum.recorded === 0 ? "absent" : open ? "open" : sum.share === null ? "unknown" : "counted";
      const share = sum.share === null ? null : sum.share * (open ? sum.hours / 24 : 1);
      return { key: day.startS, kind, share, words: `${utcDay(day.startS * 1000)}: ${dayState(day)}` } as const;
    }),
  }));
}

function dayState(day: Day): string {
  const sum = tally([day]);
  if (sum.recorded === 0) return "nothing recorded";
  return `${sum.recorded} of ${sum.hours} hours recorded${sum.share === null ? "" : `, ${percent(sum.share)} of the epochs`}`;
}

function Legend(props: { unit: string }): JSX.Element {
  return (
    <ul class="cells-legend" aria-label="What the cells mean">
      <li>
        <Swatch kind="counted" share={1} /> whole {props.unit}
      </li>
      <li>
        <Swatch kind="counted" share={0.6} /> in part: the fill shows how much
      </li>
      <li>
        <Swatch kind="open" share={0.35} /> being recorded
      </li>
      <li>
        <Swatch kind="unknown" share={0} /> not counted yet
      </li>
      <li>
        <Swatch kind="absent" share={0} /> nothing recorded
      </li>
    </ul>
  );
}

function Swatch(props: { kind: Cell["kind"]; share: number }): JSX.Element {
  const fill = 18 * props.share;
  return (
    <svg class={`cells-swatch cell cell-${props.kind}${props.share === 1 ? " cell-whole" : ""}`} width="16" height="20" aria-hidden="true">
      {fill > 0 ? <rect class="cell-fill" x="1" y={19 - fill} width="14" height={fill} /> : null}
      <path class="cell-box" d={props.kind === "open" ? "M1.5 1V18.5H14.5V1" : "M1.5 1.5V18.5H14.5V1.5Z"} />
      {props.kind === "unknown" ? <circle class="cell-dot" cx="8" cy="10" r="2" /> : null}
    </svg>
  );
}

function HourDetails(props: { days: readonly Day[] }): JSX.Element {
  const cell = props.days.flatMap((day) => day.cells).find((c) => c.startS === chosen.value);
  if (cell === undefined) {
    return (
      <p class="record-hint">
        Touch an hour, or walk to it with the arrow keys, to see it{mayHelp.value ? " and to download it" : ""}.
      </p>
    );
  }
  return (
    <div class="record-hour">
      <h3>
        {dayWords(cell.startS)}, {utcClock(cell.startS * 1000).replace(" UTC", "")} to{" "}
        {utcClock((cell.startS + 3600) * 1000)}
      </h3>
      <p>
        {cellState(cell)}.
        {cell.hours.length === 0
          ? ""
          : ` ${bytes(cell.hours.reduce((sum, h) => sum + h.bytes, 0))} received, ${bytes(cell.hours.reduce((sum, h) => sum + h.disk_bytes, 0))} on the disk.`}
      </p>
      {cell.gaps.map((gap) => (
        <p key={gap.from}>
          From {utcClock(Date.parse(gap.from), true)} to {utcClock(Date.parse(gap.to), true)}: {gap.cause}.
        </p>
      ))}
      <div class="actions">
        {mayHelp.value
          ? cell.hours.flatMap((h) =>
              h.path === null ? [] : [
                <a key={h.path} class="button small" href={rawAddress(h.path)} download>
                  Download as received
                </a>,
              ],
            )
          : null}
        <button type="button" class="button small quiet" onClick={() => choose(null)}>
          Leave it
        </button>
      </div>
    </div>
  );
}

function rawAddress(path: string): string {
  return `${kRoot}record/raw/${path.split("/").map(encodeURIComponent).join("/")}`;
}

function DayDetails(props: { days: readonly Day[]; show: (range: Range) => void }): JSX.Element {
  const day = props.days.find((d) => d.startS === chosen.value);
  if (day === undefined) {
    return <p class="record-hint">Touch a day, or walk to it with the arrow keys, to see it.</p>;
  }
  const look = (): void => {
    const today = Math.floor(dataNow_ms() / 86400000) * 86400;
    const end = day.startS + 4 * 86400;
    props.show({ days: 7, end_s: end > today ? null : end });
  };
  return (
    <div class="record-hour">
      <h3>{dayWords(day.startS)}</h3>
      <p>{dayState(day)}.</p>
      <div class="actions">
        <button type="button" class="button small" onClick={look}>
          Look at its hours
        </button>
      </div>
    </div>
  );
}

function HourTable(props: { doc: RecordDoc; days: readonly Day[] }): JSX.Element {
  const hours = [...props.doc.hours].sort((a, b) => seconds(b.start) - seconds(a.start));
  const cells = new Map(props.days.flatMap((day) => day.cells.map((cell) => [cell.startS, cell] as const)));
  return (
    <Twin
      caption="Hours on record"
      head={["Hour", "Epochs", "Complete", "Received", "On the disk", ...(mayHelp.value ? ["As received"] : [])]}
      rows={() =>
        hours.slice(0, kMostRows).map((h) => {
          const cell = cells.get(Math.floor(seconds(h.start) / 3600) * 3600);
          const share = cell?.share ?? null;
          return [
            utc(h.start),
            h.epochs === null ? "not counted yet" : number(h.epochs),
            `${share === null ? "not known" : percent(share)}${h.open ? ", being recorded" : ""}`,
            bytes(h.bytes),
            bytes(h.disk_bytes),
            ...(mayHelp.value
              ? [h.path === null ? "" : <a href={rawAddress(h.path)} download>{h.path.split("/").at(-1)}</a>]
              : []),
          ];
        })
      }
      {...(hours.length > kMostRows
        ? { note: `The newest ${kMostRows} hours; the file has all ${number(hours.length)}.` }
        : {})}
      file="record-hours"
      csv={() => ({
        head: ["start", "path", "bytes", "disk_bytes", "first_epoch", "last_epoch", "epochs", "open"],
        rows: hours.map((h) => [h.start, h.path, h.bytes, h.disk_bytes, h.first_epoch, h.last_epoch, h.epochs, h.open]),
      })}
    />
  );
}
