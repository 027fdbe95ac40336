// Files for others: a time, a format, a job that writes them.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import * as api from "../api.ts";
import { fieldOf, spanMistakes, timeOf } from "../plot/utc_field.ts";
import { dataNow_ms, now, touch } from "../state.ts";
import type { Job, Problem } from "../types.ts";
import { announce } from "../ui/announce.tsx";
import { CheckField, Form, SelectField, TextField, type Mistake } from "../ui/form.tsx";
import { JobCard } from "../ui/job.tsx";

type Format = "3.05" | "4.02" | "2.11";

const midnight_s = (): number => Math.floor(dataNow_ms() / 86400000) * 86400;

export function ExportForm(): JSX.Element {
  const [start, setStart] = useState(() => fieldOf(midnight_s() - 86400));
  const [end, setEnd] = useState(() => fieldOf(midnight_s()));
  const [format, setFormat] = useState<Format>("3.05");
  const [interval, setInterval] = useState("30");
  const [hatanaka, setHatanaka] = useState(true);
  const [gzip, setGzip] = useState(true);
  const check = (): Mistake[] => {
    const out: Mistake[] = spanMistakes(start, end, dataNow_ms() / 1000);
    const value = Number(interval);
    if (interval.trim() === "" || !(value > 0) || value > 3600) {
      out.push({ field: "interval_s", words: "Give the interval in seconds, above 0 and at most 3600." });
    }
    return out;
  };
  const send = async (): Promise<Problem | null> => {
    const answer = await api.post("jobs", {
      kind: "export", start: timeOf(start), end: timeOf(end), format,
      interval_s: Number(interval), hatanaka, gzip,
    });
    if (!answer.ok) return answer.problem;
    announce("The job waits for its turn.");
    touch("jobs");
    now.reload();
    return null;
  };
  const fields = ["start", "end", "format", "interval_s"];
  return (
    <Form check={check} send={send} fields={fields} submit="Write the files">
      {(mistakeOf, prefix) => (
        <>
          <div class="fields-in-row">
            <TextField name="start" label="From, UTC" type="datetime-local" prefix={prefix} mistake={mistakeOf("start")} value={start} set={setStart} />
            <TextField name="end" label="To, UTC" type="datetime-local" prefix={prefix} mistake={mistakeOf("end")} value={end} set={setEnd} />
            <SelectField
              name="format"
              label="Format"
              prefix={prefix}
              mistake={mistakeOf("format")}
              value={format}
              set={setFormat}
              choices={[
                { value: "3.05", words: "RINEX 3.05" },
                { value: "4.02", words: "RINEX 4.02" },
                { value: "2.11", words: "RINEX 2.11 (loses newer signals)" },
              ]}
            />
            <TextField name="interval_s" label="Interval in seconds" inputMode="decimal" prefix={prefix} mistake={mistakeOf("interval_s")} value={interval} set={setInterval} />
          </div>
          <CheckField name="hatanaka" label="Hatanaka: smaller, read by all that read RINEX by network" prefix={prefix} value={hatanaka} set={setHatanaka} />
          <CheckField name="gzip" label="Packed with gzip" prefix={prefix} value={gzip} set={setGzip} />
        </>
      )}
    </Form>
  );
}

export function ExportJobs(props: { jobs: readonly Job[] }): JSX.Element | null {
  const live = now.data.value?.job ?? null;
  const open = (job: Job): boolean => job.state === "waiting" || job.state === "running";
  const mine = props.jobs
    .filter((job) => job.kind === "export")
    .map((job) => (live !== null && live.id === job.id && open(job) ? live : job));
  if (mine.length === 0) return null;
  const [first, ...rest] = mine;
  return (
    <div class="solve-jobs">
      {first === undefined ? null : <JobCard job={first} />}
      {rest.length === 0 ? null : (
        <details class="twin">
          <summary>Earlier ones</summary>
          {rest.slice(0, 12).map((job) => (
            <JobCard key={job.id} job={job} />
          ))}
        </details>
      )}
    </div>
  );
}
