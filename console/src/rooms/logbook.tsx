// What happened, newest first, by day; some kinds of it, page by page.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { roomQuery, useDocument } from "../state.ts";
import type { LogEntry, Logbook } from "../types.ts";
import { CsvButton } from "../ui/csv.tsx";
import { capital, utc, utcClock, utcDay } from "../ui/format.ts";
import { Panel, type Absent } from "../ui/panel.tsx";
import { detailWords, kindWords } from "./logbook_words.ts";

const kPage = 50;

export function LogbookRoom(): JSX.Element {
  const kinds = (roomQuery.value.get("kind") ?? "").split(",").filter((kind) => kind !== "");
  // Keyed, so that another choice begins at its newest page.
  return <Pages key={kinds.join(",")} kinds={kinds} />;
}

function Pages(props: { kinds: string[] }): JSX.Element {
  // Where each page after the first begins, the present one last.
  const [befores, turn] = useState<(string | number)[]>([]);
  const filter = props.kinds.length === 0 ? "" : `&kind=${props.kinds.map(encodeURIComponent).join(",")}`;
  const last = befores[befores.length - 1];
  const before = last === undefined ? "" : `&before=${encodeURIComponent(last)}`;
  const logbook = useDocument<Logbook>(`logbook?limit=${kPage}${filter}${before}`, before === "" ? "logbook" : null);
  const go = (next: (string | number)[]): void => {
    turn(next);
    document.getElementById("room")?.focus();
    scrollTo(0, 0);
  };
  const older = logbook.data.value?.next ?? null;
  const noEntry = (of: Logbook): Absent | null => {
    if (of.entries.length > 0) return null;
    return {
      will: "Every start, gap, move, adoption and change, with its time and who did it.",
      why:
        props.kinds.length > 0
          ? `Nothing of this kind has been written: ${props.kinds.map(kindWords).join(", ")}.`
          : "Nothing has been written yet; the first entry comes when the station has started.",
      ...(props.kinds.length > 0
        ? {
            action: (
              <a class="button" href="#/logbook">
                Show all kinds
              </a>
            ),
          }
        : {}),
    };
  };
  return (
    <Panel
      title={befores.length === 0 ? "The newest entries" : "Older entries"}
      resource={logbook}
      first={() => null}
      empty={noEntry}
      aside={
        <CsvButton path={`logbook?limit=1000${filter}`} name="logbook.csv" words="Keep the newest 1000 as CSV" />
      }
    >
      {(of) => (
        <>
          <Filter kinds={of.kinds} chosen={props.kinds} />
          <Days entries={of.entries} />
          <nav class="actions" aria-label="Pages of the logbook">
            {befores.length === 0 ? null : (
              <button type="button" class="button" onClick={() => go(befores.slice(0, -1))}>
                Newer
              </button>
            )}
            {older === null ? (
              <span class="small-print">These are the oldest entries.</span>
            ) : (
              <button type="button" class="button" onClick={() => go([...befores, older])}>
                Older
              </button>
            )}
          </nav>
        </>
      )}
    </Panel>
  );
}

function Filter(props: { kinds: string[]; chosen: string[] }): JSX.Element {
  const all = [...props.kinds, ...props.chosen.filter((kind) => !props.kinds.includes(kind))];
  const set = (kind: string, on: boolean): void => {
    const next = on ? [...props.chosen, kind] : props.chosen.filter((one) => one !== kind);
    location.hash = next.length === 0 ? "#/logbook" : `#/logbook?kind=${next.map(encodeURIComponent).join(",")}`;
  };
  return (
    <details class="filter" open={props.chosen.length > 0}>
      <summary>
        {props.chosen.length === 0 ? "All kinds are shown" : `Only: ${props.chosen.map(kindWords).join(", ")}`}
      </summary>
      <fieldset>
        <legend class="unseen">Show only these kinds</legend>
        {all.map((kind) => (
          <label key={kind}>
            <input
              type="checkbox"
              checked={props.chosen.includes(kind)}
              onChange={(event) => set(kind, event.currentTarget.checked)}
            />
            {capital(kindWords(kind))}
          </label>
        ))}
      </fieldset>
      {props.chosen.length === 0 ? null : (
        <a class="button small" href="#/logbook">
          Show all kinds
        </a>
      )}
    </details>
  );
}

// Entries of one UTC day after another.
export function byDay(entries: LogEntry[]): { day: string; entries: LogEntry[] }[] {
  const days: { day: string; entries: LogEntry[] }[] = [];
  for (const entry of entries) {
    const day = utcDay(Date.parse(entry.at));
    const last = days[days.length - 1];
    if (last !== undefined && last.day === day) last.entries.push(entry);
    else days.push({ day, entries: [entry] });
  }
  return days;
}

function Days(props: { entries: LogEntry[] }): JSX.Element {
  return (
    <div class="log">
      {byDay(props.entries).map(({ day, entries }) => (
        <section key={day}>
          <h3>{day}</h3>
          <ol>
            {entries.map((entry) => (
              <Entry key={entry.id} entry={entry} />
            ))}
          </ol>
        </section>
      ))}
    </div>
  );
}

function Entry(props: { entry: LogEntry }): JSX.Element {
  const { entry } = props;
  const details = detailWords(entry.details);
  return (
    <li>
      <time dateTime={entry.at} title={utc(entry.at, true)}>
        {utcClock(Date.parse(entry.at))}
      </time>
      <p class="log-kind">{capital(kindWords(entry.kind))}</p>
      <div>
        <p>{entry.text === "" ? "Names people; not shown to guests." : entry.text}</p>
        {details === "" ? null : <p class="small-print">{details}</p>}
      </div>
    </li>
  );
}
