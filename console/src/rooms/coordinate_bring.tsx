// A coordinate from elsewhere: a document of `locate` or `tie`, or one typed in.
import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import * as api from "../api.ts";
import { nearEarth, readNumbers } from "../plot/coordinate_words.ts";
import { touch } from "../state.ts";
import type { Problem } from "../types.ts";
import { announce } from "../ui/announce.tsx";
import { Dialog } from "../ui/dialog.tsx";
import { Form, SelectField, TextArea, TextField, type Mistake } from "../ui/form.tsx";

const kMostBytes = 4 * 1024 * 1024;

export function Bring(): JSX.Element {
  const [way, take] = useState<"none" | "document" | "hand">("none");
  const close = (): void => take("none");
  return (
    <>
      <p>
        A coordinate that was worked out elsewhere becomes one more candidate: it is compared with the
        others and not used before somebody adopts it.
      </p>
      <div class="actions">
        <button type="button" class="button" onClick={() => take("document")}>
          Bring a document …
        </button>
        <button type="button" class="button" onClick={() => take("hand")}>
          Type one in …
        </button>
      </div>
      {way === "document" ? <DocumentDialog close={close} /> : null}
      {way === "hand" ? <HandDialog close={close} /> : null}
    </>
  );
}

async function bring(body: unknown, close: () => void): Promise<Problem | null> {
  const answer = await api.post<{ record: number }>("records", body);
  if (!answer.ok) return answer.problem;
  touch("coordinate", "logbook");
  announce(`Record ${answer.value.record} is among the candidates.`);
  close();
  return null;
}

function DocumentDialog(props: { close: () => void }): JSX.Element {
  const [file, setFile] = useState<File | null>(null);
  const held = useRef<unknown>(null);
  const check = (): Mistake[] => {
    if (file === null) return [{ field: "document", words: "Choose the document first." }];
    if (file.size > kMostBytes) {
      return [{ field: "document", words: "It is larger than 4 MiB: this is no document of locate or tie." }];
    }
    return [];
  };
  const send = async (): Promise<Problem | null> => {
    const refuse = (detail: string, remedy: string): Problem => ({
      ...api.localProblem("unreadable", detail, remedy),
      field: "document",
    });
    try {
      held.current = JSON.parse((await file?.text()) ?? "");
    } catch {
      return refuse("It is no JSON document.", "Choose what --json or --out of locate or tie wrote.");
    }
    if (typeof held.current !== "object" || held.current === null || !("position" in held.current)) {
      return refuse("There is no position in it.", "Choose what --json or --out of locate or tie wrote.");
    }
    return bring(held.current, props.close);
  };
  return (
    <Dialog title="Bring a document" close={props.close}>
      <p>
        What <code>stillpoint locate --json</code> or <code>stillpoint tie --json</code> printed, as it
        is. It carries its own uncertainty, frame and epoch.
      </p>
      <Form check={check} send={send} fields={["document"]} submit="Bring it">
        {(mistakeOf, prefix) => {
          const mistake = mistakeOf("document");
          const id = `${prefix}document`;
          return (
            <div class={mistake === null ? "field" : "field wrong"}>
              <label for={id}>Document</label>
              {mistake === null ? null : (
                <p class="mistake" id={`${id}-mistake`}>
                  {mistake}
                </p>
              )}
              <input
                id={id}
                type="file"
                accept=".json,application/json"
                aria-invalid={mistake === null ? undefined : "true"}
                aria-describedby={mistake === null ? undefined : `${id}-mistake`}
                onChange={(event) => setFile(event.currentTarget.files?.[0] ?? null)}
              />
            </div>
          );
        }}
      </Form>
    </Dialog>
  );
}

const kEmpty = { xyz: "", sigma: "", frame: "", epoch: "", source: "" };
type HandField = keyof typeof kEmpty;
// The station's names of the fields, and ours.
const kFieldOf: Readonly<Record<string, string>> = {
  ecef_m: "xyz", sigma_enu_mm: "sigma", frame: "frame", epoch: "epoch", point: "point", source: "source",
};

function HandDialog(props: { close: () => void }): JSX.Element {
  const [given, give] = useState(kEmpty);
  const [point, setPoint] = useState<"marker" | "arp">("marker");
  const set = (field: HandField) => (value: string) => give((old) => ({ ...old, [field]: value }));
  const xyz = readNumbers(given.xyz);
  const sigma = readNumbers(given.sigma);
  const check = (): Mistake[] => {
    const out: Mistake[] = [];
    const miss = (field: string, words: string): void => void out.push({ field, words });
    if (xyz?.length !== 3) {
      miss("xyz", "Give three numbers in metres, X, Y and Z, with a point before the decimals.");
    } else if (!nearEarth(xyz)) {
      miss("xyz", "These three do not lie near the Earth's surface. Are they X, Y, Z in metres?");
    }
    if (sigma?.length !== 3 || sigma.some((value) => value <= 0)) {
      miss("sigma", "Give three numbers above 0 in millimetres: east, north, up. A coordinate without them cannot be compared.");
    }
    if (given.frame.trim() === "") miss("frame", "Name the frame, for example ITRF2020.");
    if (!/^\d{4}(\.\d+|-\d\d-\d\d)$/.test(given.epoch.trim())) {
      miss("epoch", "Give the epoch as a date like 2024-11-23 or a year like 2024.9.");
    }
    if (given.source.trim() === "") {
      miss("source", "Say where it comes from: who worked it out, from what, when.");
    }
    return out;
  };
  const send = async (): Promise<Problem | null> => {
    const problem = await bring(
      {
        by_hand: {
          ecef_m: xyz,
          sigma_enu_mm: sigma,
          frame: given.frame.trim(),
          epoch: given.epoch.trim(),
          point,
          source: given.source.trim(),
        },
      },
      props.close,
    );
    if (problem === null) return null;
    const name = problem.field?.split(".").at(-1) ?? "";
    return { ...problem, field: kFieldOf[name] ?? null };
  };
  const fields = ["xyz", "sigma", "frame", "epoch", "point", "source"];
  return (
    <Dialog title="Type a coordinate in" close={props.close}>
      <Form check={check} send={send} fields={fields} submit="Bring it">
        {(mistakeOf, prefix) => {
          const common = (name: HandField) => ({
            name, prefix, mistake: mistakeOf(name), value: given[name], set: set(name),
          });
          return (
            <>
              <TextField {...common("xyz")} label="X, Y, Z in metres" hint="Earth-centred, as “4277342.4187 669836.9036 4664921.5292”" inputMode="text" />
              <TextField {...common("sigma")} label="Sigma east, north, up in millimetres" hint="One sigma each, as “5 5 12”" />
              <TextField {...common("frame")} label="Frame" hint="As its issuer writes it: ITRF2020, IGS20, ETRF2000 …" />
              <TextField {...common("epoch")} label="Epoch" hint="The day the coordinate stands for: 2024-11-23, or 2024.9" />
              <SelectField
                name="point"
                label="Point"
                prefix={prefix}
                mistake={mistakeOf("point")}
                value={point}
                set={setPoint}
                choices={[
                  { value: "marker", words: "the marker" },
                  { value: "arp", words: "the antenna's reference point (ARP)" },
                ]}
              />
              <TextArea {...common("source")} label="Source" hint="Who worked it out, from what, when. It stays with the record." rows={2} />
            </>
          );
        }}
      </Form>
    </Dialog>
  );
}
