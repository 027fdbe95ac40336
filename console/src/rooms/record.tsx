// The room Record: what is recorded, what is missing and why, how long the disk
// lasts, and files for others.
import { signal } from "@preact/signals";
import type { JSX } from "preact";
import { diskSentence, gapTotal, gapWhen, moveRange, recordPath, type Range } from "../plot/record_words.ts";
import { dataNow_ms, mayHelp, ofAnotherDay, useDocument } from "../state.ts";
import type { Jobs, RecordDoc } from "../types.ts";
import { Facts } from "../ui/facts.tsx";
import { bytes, number, plural, span } from "../ui/format.ts";
import { Panel, type Absent } from "../ui/panel.tsx";
import { seconds } from "../plot/calendar.ts";
import { Calendar } from "./record_calendar.tsx";
import { ExportForm, ExportJobs } from "./record_export.tsx";
import { Minutes } from "./record_minutes.tsx";

const range = signal<Range>({ days: 7, end_s: null });
const show = (next: Range): void => {
  range.value = next;
};

const toNow = (
  <a class="button" href="#/now">
    See what the receiver does
  </a>
);
// Out of a time without data: to the last days, and from there to the receiver.
function back(): JSX.Element {
  if (range.value.days === 7 && range.value.end_s === null) return toNow;
  return (
    <button type="button" class="button" onClick={() => show({ days: 7, end_s: null })}>
      Show the last 7 days
    </button>
  );
}

const never = (): Absent | null => null;

// Nothing was ever recorded, as far as this document tells.
const unused = (doc: RecordDoc): boolean =>
  doc.hours.length === 0 && doc.minutes.unix_s.length === 0 && (doc.disk.used_bytes ?? 0) === 0;

export function RecordRoom(): JSX.Element {
  // Of the path only the day of "now" counts.
  const path = recordPath(range.value, Math.floor(dataNow_ms() / 3600000) * 3600);
  const record = useDocument<RecordDoc>(path, "record");
  const jobs = useDocument<Jobs>("jobs", "jobs");
  return (
    <div class="record-room">
      <Ranges />
      <Panel
        title="Hours on record"
        resource={record}
        class="record-calendar"
        first={(doc) =>
          unused(doc)
            ? {
                will: "Each hour on record will be a cell here, filled by how complete it is.",
                why: "Nothing has been recorded yet: recording begins with the first bytes of the receiver.",
                action: toNow,
              }
            : null
        }
        empty={(doc) =>
          doc.hours.length > 0
            ? null
            : {
                will: "Nothing is on record for this time.",
                why: "The station did not record then, or those hours have made room for newer ones.",
                action: back(),
              }
        }
      >
        {(doc) => <Calendar doc={doc} show={show} />}
      </Panel>
      <Panel
        title="Minute by minute"
        resource={record}
        class="record-minutes"
        first={(doc) =>
          unused(doc)
            ? {
                will: "Satellites, strength and epochs of each minute will be drawn here.",
                why: "The first minute has not been counted yet.",
                action: toNow,
              }
            : null
        }
        empty={(doc) =>
          doc.minutes.unix_s.length > 0
            ? null
            : {
                will: "There is nothing to draw for this time.",
                why: "No minute was counted: the receiver was silent, or the station was off.",
                action: back(),
              }
        }
      >
        {(doc) => <Minutes doc={doc} />}
      </Panel>
      <Panel
        title="Gaps"
        resource={record}
        class="record-gaps"
        first={(doc) =>
          unused(doc)
            ? {
                will: "Every gap in the data will be kept here with its cause.",
                why: "Nothing has been recorded yet.",
                action: toNow,
              }
            : null
        }
        empty={(doc) =>
          doc.hours.length > 0 || doc.gaps.length > 0
            ? null
            : {
                will: "No gap can be told for this time.",
                why: "Nothing is on record for it.",
                action: back(),
              }
        }
      >
        {(doc) => <Gaps doc={doc} />}
      </Panel>
      <Panel title="Disk" resource={record} class="record-disk" first={never} empty={never}>
        {(doc) => <Disk disk={doc.disk} />}
      </Panel>
      <Panel
        title="Files for others"
        resource={jobs}
        class="record-export"
        first={(doc) =>
          mayHelp.value || doc.jobs.some((job) => job.kind === "export")
            ? null
            : {
                will: "Observation files that were written will be listed here.",
                why: "None has been asked for; helpers and owners of the station can.",
              }
        }
        empty={never}
      >
        {(doc) => (
          <>
            {mayHelp.value ? <ExportForm key={String(ofAnotherDay.value)} /> : null}
            <ExportJobs jobs={doc.jobs} />
          </>
        )}
      </Panel>
    </div>
  );
}

const kSpans: readonly { days: number; words: string }[] = [
  { days: 7, words: "7 days" },
  { days: 28, words: "4 weeks" },
  { days: 91, words: "3 months" },
];

function Ranges(): JSX.Element {
  const at = range.value;
  const now_s = dataNow_ms() / 1000;
  const last = ofAnotherDay.value ? `up to ${gapDay(now_s)}, the last of the data` : "up to now";
  const end = at.end_s === null ? last : `up to ${gapDay(at.end_s - 86400)}`;
  return (
    <div class="ranges" role="group" aria-label="The time that is shown">
      <div class="ranges-spans">
        {kSpans.map((s) => (
          <button
            key={s.days}
            type="button"
            class="button small"
            aria-pressed={at.days === s.days ? "true" : "false"}
            onClick={() => show({ days: s.days, end_s: at.end_s })}
          >
            {s.words}
          </button>
        ))}
      </div>
      <div class="ranges-steps">
        <button type="button" class="button small" onClick={() => show(moveRange(at, -1, now_s))}>
          Earlier
        </button>
        <button
          type="button"
          class="button small"
          disabled={at.end_s === null}
          onClick={() => show(moveRange(at, 1, now_s))}
        >
          Later
        </button>
        <span class="ranges-words">{end}</span>
      </div>
    </div>
  );
}

function gapDay(start_s: number): string {
  return new Date(start_s * 1000).toISOString().slice(0, 10);
}

const kShownGaps = 8;

function Gaps(props: { doc: RecordDoc }): JSX.Element {
  const gaps = [...props.doc.gaps].sort((a, b) => seconds(b.from) - seconds(a.from));
  if (gaps.length === 0) return <p>No gap in this time.</p>;
  const rest = gaps.slice(kShownGaps);
  return (
    <>
      <p>
        {plural(gaps.length, "gap")}, together {span(gapTotal(gaps))}.
      </p>
      <GapList gaps={gaps.slice(0, kShownGaps)} />
      {rest.length === 0 ? null : (
        <details class="twin">
          <summary>{rest.length === 1 ? "One earlier gap" : `${number(rest.length)} earlier gaps`}</summary>
          <GapList gaps={rest} />
        </details>
      )}
    </>
  );
}

function GapList(props: { gaps: RecordDoc["gaps"] }): JSX.Element {
  return (
    <ul class="gaps">
      {props.gaps.map((gap) => (
        <li key={gap.from}>
          <span class="gaps-long">{span(seconds(gap.to) - seconds(gap.from))}</span>
          <span>
            {gap.cause}
            <span class="more">{gapWhen(gap)}</span>
          </span>
        </li>
      ))}
    </ul>
  );
}

function Disk(props: { disk: RecordDoc["disk"] }): JSX.Element {
  const { disk } = props;
  const used = disk.used_bytes ?? 0;
  const free = disk.free_bytes ?? 0;
  const kept = Math.min(free, disk.leave_free_bytes ?? 0);
  const all = used + free;
  return (
    <>
      <p>{diskSentence(disk)}</p>
      {all > 0 ? (
        <svg class="disk-bar" viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true">
          <rect class="disk-free" x="0" y="0" width="100" height="6" />
          <rect class="disk-used" x="0" y="0" width={used > 0 ? Math.max(0.6, (100 * used) / all) : 0} height="6" />
          <rect class="disk-kept" x={100 - (100 * kept) / all} y="0" width={(100 * kept) / all} height="6" />
        </svg>
      ) : null}
      <Facts
        facts={[
          { name: "Recordings", value: bytes(disk.used_bytes) },
          { name: "Free", value: bytes(disk.free_bytes) },
          { name: "Always left free", value: bytes(disk.leave_free_bytes) },
        ]}
      />
    </>
  );
}
