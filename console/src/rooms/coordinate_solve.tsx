// A solution that somebody asks for, and the jobs that work on coordinates.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import * as api from "../api.ts";
import { fieldOf, spanMistakes, timeOf } from "../plot/utc_field.ts";
import { dataNow_ms, now, touch } from "../state.ts";
import type { Job, Problem } from "../types.ts";
import { announce } from "../ui/announce.tsx";
import { Form, SelectField, TextField } from "../ui/form.tsx";
import { JobCard } from "../ui/job.tsx";

type Method = "auto" | "ppp" | "code";

export function SolveForm(): JSX.Element {
  const [start, setStart] = useState(() => fieldOf(dataNow_ms() / 1000 - 86400));
  const [end, setEnd] = useState(() => fieldOf(dataNow_ms() / 1000));
  const [method, setMethod] = useState<Method>("auto");
  const send = async (): Promise<Problem | null> => {
    const answer = await api.post("jobs", { kind: "solve", start: timeOf(start), end: timeOf(end), method });
    if (!answer.ok) return answer.problem;
    announce("The job waits for its turn.");
    touch("jobs");
    now.reload();
    return null;
  };
  return (
    <Form
      check={() => spanMistakes(start, end, dataNow_ms() / 1000)}
      send={send}
      fields={["start", "end", "method"]}
      submit="Start it"
    >
      {(mistakeOf, prefix) => (
        <div class="fields-in-row">
          <TextField name="start" label="From, UTC" type="datetime-local" prefix={prefix} mistake={mistakeOf("start")} value={start} set={setStart} />
          <TextField name="end" label="To, UTC" type="datetime-local" prefix={prefix} mistake={mistakeOf("end")} value={end} set={setEnd} />
          <SelectField
            name="method"
            label="Method"
            prefix={prefix}
            mistake={mistakeOf("method")}
            value={method}
            set={setMethod}
            choices={[
              { value: "auto", words: "the best that the products allow" },
              { value: "ppp", words: "PPP, with precise orbits and clocks" },
              { value: "code", words: "code ranges alone" },
            ]}
          />
        </div>
      )}
    </Form>
  );
}

const isSolve = (job: Job): boolean => job.kind !== "export";
const isOpen = (job: Job): boolean => job.state === "waiting" || job.state === "running";

// What is at work, and what ended last. A running job is as fresh as the feed.
export function SolveJobs(props: { jobs: readonly Job[] }): JSX.Element | null {
  const live = now.data.value?.job ?? null;
  const mine = props.jobs
    .filter(isSolve)
    .map((job) => (live !== null && live.id === job.id && isOpen(job) ? live : job));
  const open = mine.filter(isOpen);
  const ended = mine.filter((job) => !isOpen(job));
  const last = ended[0];
  if (open.length === 0 && last === undefined) return null;
  return (
    <div class="solve-jobs">
      {open.map((job) => (
        <JobCard key={job.id} job={job} />
      ))}
      {open.length === 0 && last !== undefined ? <JobCard job={last} /> : null}
      {ended.length > 1 ? (
        <details class="twin">
          <summary>Earlier ones</summary>
          {ended.slice(open.length === 0 ? 1 : 0, 12).map((job) => (
            <JobCard key={job.id} job={job} />
          ))}
        </details>
      ) : null}
    </div>
  );
}
