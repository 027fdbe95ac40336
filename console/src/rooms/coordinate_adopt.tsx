// The question before a coordinate is adopted: what the rovers will get, what
// speaks against it, and why it is done.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import * as api from "../api.ts";
import { adoptionCautions, methodWords, sigmaWords } from "../plot/coordinate_words.ts";
import { stepSize } from "../plot/ellipse.ts";
import { millimetres } from "../plot/scale.ts";
import { door, now, touch } from "../state.ts";
import type { Candidate, Coordinate, Problem } from "../types.ts";
import { announce } from "../ui/announce.tsx";
import { Dialog } from "../ui/dialog.tsx";
import { capital, number, plural } from "../ui/format.ts";
import { CheckField, Form, TextArea, type Mistake } from "../ui/form.tsx";

export function AdoptDialog(props: {
  candidate: Candidate;
  doc: Coordinate;
  close: () => void;
}): JSX.Element {
  const { candidate, doc } = props;
  const [why, setWhy] = useState("");
  const [read, setRead] = useState(false);
  const cautions = adoptionCautions(candidate, doc);
  const check = (): Mistake[] => [
    ...(why.trim() === ""
      ? [{ field: "why", words: "Write why: the logbook and every later reader will ask." }]
      : []),
    ...(cautions.length > 0 && !read
      ? [{ field: "read", words: "Read what speaks against it, and say that you have." }]
      : []),
  ];
  const send = async (): Promise<Problem | null> => {
    const answer = await api.post("adoptions", { record: candidate.id, why: why.trim() });
    if (!answer.ok) return answer.problem;
    announce(`Record ${candidate.id} is adopted.`);
    touch("coordinate", "stream", "logbook");
    now.reload();
    props.close();
    return null;
  };
  return (
    <Dialog title={`Adopt record ${candidate.id}?`} close={props.close}>
      <div class="adopt">
        <p>
          {capital(methodWords(candidate.method))}
          {candidate.hours === null ? "" : `, ${number(candidate.hours, 1)} h`}, in {candidate.frame}{" "}
          at {candidate.epoch.slice(0, 10)}; uncertainty {sigmaWords(candidate.sigma_enu_mm)}.
        </p>
        <h3>What the rovers will get</h3>
        <p>{consequence(candidate, doc)}</p>
        {cautions.length === 0 ? null : (
          <div class="adopt-cautions">
            <h3>What speaks against it</h3>
            <ul>
              {cautions.map((words) => (
                <li key={words}>{words}</li>
              ))}
            </ul>
          </div>
        )}
        <Form check={check} send={send} fields={["why"]} submit="Adopt it">
          {(mistakeOf, prefix) => (
            <>
              <TextArea
                name="why"
                label="Why"
                hint="A sentence for whoever reads this in some years."
                prefix={prefix}
                mistake={mistakeOf("why")}
                value={why}
                set={setWhy}
              />
              {cautions.length === 0 ? null : (
                <CheckField
                  name="read"
                  label="I have read what speaks against it"
                  prefix={prefix}
                  value={read}
                  set={setRead}
                />
              )}
            </>
          )}
        </Form>
      </div>
    </Dialog>
  );
}

function consequence(candidate: Candidate, doc: Coordinate): string {
  const station = door.value?.station ?? "this station";
  const rovers = now.data.value?.rovers.connected ?? 0;
  const connected =
    rovers === 0 ? "No rover is connected now." : `${plural(rovers, "rover")} ${rovers === 1 ? "is" : "are"} connected now and will notice.`;
  const start = `From the next station message on, every rover of ${station} is given this coordinate.`;
  if (doc.adopted === null) return `${start} It is the first that is adopted. ${connected}`;
  if (candidate.difference_enu_mm === null) return `${start} ${connected}`;
  const { plane, up } = stepSize(candidate.difference_enu_mm);
  return `${start} Their positions step by ${millimetres(plane)} in the plane and ${millimetres(Math.abs(up))} ${up < 0 ? "down" : "up"} against those they had with record ${doc.adopted.record}. ${connected}`;
}
