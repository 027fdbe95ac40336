// A job: what it does, how far it is, what came of it; helpers may cancel it.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import * as api from "../api.ts";
import { mayHelp, now, touch } from "../state.ts";
import type { Job, Problem } from "../types.ts";
import { ConfirmDialog } from "./dialog.tsx";
import { bytes, number } from "./format.ts";
import { When } from "./when.tsx";

const kKinds: Record<Job["kind"], string> = {
  growth: "The coordinate from what is there so far",
  day: "The coordinate of a day",
  solve: "A coordinate that was asked for",
  export: "An export",
};
const kStates: Record<Job["state"], string> = {
  waiting: "waits for its turn",
  running: "is at work",
  done: "is done",
  failed: "came to nothing",
  cancelled: "was cancelled",
};

export function jobTitle(job: Job): string {
  return kKinds[job.kind] ?? "A job";
}

export function JobCard(props: { job: Job; level?: 3 | 4 }): JSX.Element {
  const { job } = props;
  const [asking, ask] = useState(false);
  const open = job.state === "waiting" || job.state === "running";
  const Title = props.level === 4 ? "h4" : "h3";
  const cancel = async (): Promise<Problem | null> => {
    const answer = await api.remove(`jobs/${encodeURIComponent(job.id)}`);
    touch("jobs");
    now.reload();
    return answer.ok ? null : answer.problem;
  };
  return (
    <article class="job" data-job={job.state}>
      <Title>
        {jobTitle(job)} {kStates[job.state] ?? job.state}
      </Title>
      <p>{job.what}</p>
      {job.why === "" ? null : <p class="job-why">{job.why}</p>}
      {open ? <Progress job={job} /> : null}
      <p class="small-print">
        Asked for by {job.by === "station" || job.by === null ? "the station itself" : job.by},{" "}
        <When at={job.asked} />
        {job.ended === null ? null : (
          <>
            ; ended <When at={job.ended} />
          </>
        )}
      </p>
      <div class="actions">
        {open && mayHelp.value ? (
          <button type="button" class="button" onClick={() => ask(true)}>
            Cancel this job
          </button>
        ) : null}
        {job.report ? (
          <a class="button" href={`${api.kRoot}jobs/${encodeURIComponent(job.id)}/report`} target="_blank" rel="noopener">
            Read its report
          </a>
        ) : null}
        {!open && mayHelp.value ? (
          <a class="button quiet" href={`${api.kRoot}jobs/${encodeURIComponent(job.id)}/log`} target="_blank" rel="noopener">
            Its log
          </a>
        ) : null}
      </div>
      {job.files.length === 0 || !mayHelp.value ? null : (
        <ul class="files">
          {job.files.map((file) => (
            <li key={file.name}>
              <a
                href={`${api.kRoot}jobs/${encodeURIComponent(job.id)}/files/${encodeURIComponent(file.name)}`}
                download={file.name}
              >
                {file.name}
              </a>{" "}
              ({bytes(file.bytes)})
            </li>
          ))}
        </ul>
      )}
      {asking ? (
        <ConfirmDialog
          title="Cancel this job?"
          yes="Cancel the job"
          act={cancel}
          close={() => ask(false)}
        >
          <p>What it has worked out so far is thrown away. It can be asked for again.</p>
        </ConfirmDialog>
      ) : null}
    </article>
  );
}

function Progress(props: { job: Job }): JSX.Element {
  const { progress, step } = props.job;
  const doing = step === null || step === "" ? "" : `, now: ${step}`;
  const words = progress === null ? `How far it is cannot be told${doing}` : `${number(progress * 100)} % done${doing}`;
  return (
    <div class="progress">
      {progress === null ? (
        <progress aria-label="Progress of the job" />
      ) : (
        <progress aria-label="Progress of the job" max={1} value={progress} />
      )}
      <span>{words}</span>
    </div>
  );
}
