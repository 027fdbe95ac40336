// The dialogs about a person: a new one, changes, the end.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import * as api from "../api.ts";
import type { Person, Problem, Role } from "../types.ts";
import { announce } from "../ui/announce.tsx";
import { ConfirmDialog, Dialog } from "../ui/dialog.tsx";
import { Form, SelectField, TextField, type Mistake } from "../ui/form.tsx";
import { useNewPassword } from "./new_password.tsx";
import { kMay } from "./people.tsx";

const kChoices: { value: Role; words: string }[] = [
  { value: "guest", words: "Guest: looks on" },
  { value: "helper", words: "Helper: works with what is there" },
  { value: "owner", words: "Owner: decides" },
];

export function NewPerson(props: { close: () => void }): JSX.Element {
  const [name, setName] = useState("");
  const [role, setRole] = useState<Role>("helper");
  const password = useNewPassword();
  const check = (): Mistake[] => [
    ...(name.trim() === "" ? [{ field: "name", words: "Enter a name." }] : []),
    ...password.check(),
  ];
  const send = async (): Promise<Problem | null> => {
    const answer = await api.post("people", { name: name.trim(), password: password.value, role });
    if (!answer.ok) return answer.problem;
    announce(`${name.trim()} may come in.`);
    props.close();
    return null;
  };
  return (
    <Dialog title="Let somebody in" close={props.close}>
      <Form check={check} send={send} fields={["name", "role", "password"]} submit="Let them in">
        {(mistakeOf, prefix) => (
          <>
            <TextField
              name="name"
              label="Name"
              hint="Up to 64 letters; capitals count."
              prefix={prefix}
              mistake={mistakeOf("name")}
              value={name}
              set={setName}
            />
            <SelectField
              name="role"
              label="May"
              hint={kMay[role]}
              prefix={prefix}
              mistake={mistakeOf("role")}
              value={role}
              set={setRole}
              choices={kChoices}
            />
            {password.fields(mistakeOf, prefix, "A first password", "Tell it to them; they change it here.")}
          </>
        )}
      </Form>
    </Dialog>
  );
}

export function ChangePerson(props: { person: Person; close: () => void }): JSX.Element {
  const { person } = props;
  const path = `people/${encodeURIComponent(person.name)}`;
  const [role, setRole] = useState<Role>(person.role);
  const password = useNewPassword();
  const [asking, ask] = useState<"shut" | "remove" | null>(null);
  const [problem, tell] = useState<Problem | null>(null);
  const patch = async (body: object): Promise<Problem | null> => {
    const answer = await api.patch(path, body);
    if (!answer.ok) return answer.problem;
    setTimeout(props.close, 0);
    return null;
  };
  const drop = async (): Promise<Problem | null> => {
    const answer = await api.remove(path);
    if (!answer.ok) return answer.problem;
    setTimeout(props.close, 0);
    return null;
  };
  return (
    <Dialog title={person.name} close={props.close}>
      <Form check={() => []} send={() => patch({ role })} fields={["role"]} submit="Keep this role">
        {(mistakeOf, prefix) => (
          <SelectField
            name="role"
            label="May"
            hint={kMay[role]}
            prefix={prefix}
            mistake={mistakeOf("role")}
            value={role}
            set={setRole}
            choices={kChoices}
          />
        )}
      </Form>
      <details class="apart">
        <summary>Give them a new password</summary>
        <Form
          check={password.check}
          send={() => patch({ password: password.value })}
          fields={["password"]}
          submit="Set this password"
        >
          {(mistakeOf, prefix) => password.fields(mistakeOf, prefix, "New password", "Their sessions end.")}
        </Form>
      </details>
      <h3 class="apart">Their access</h3>
      <p>{person.enabled ? "They may come in." : "They are shut out."}</p>
      {problem === null ? null : (
        <p class="form-problem" role="alert">
          {problem.detail} {problem.remedy ?? ""}
        </p>
      )}
      <div class="actions">
        <button
          type="button"
          class="button"
          onClick={() => {
            if (person.enabled) ask("shut");
            else void patch({ enabled: true }).then(tell);
          }}
        >
          {person.enabled ? "Shut them out…" : "Let them in again"}
        </button>
        <button type="button" class="button" onClick={() => ask("remove")}>
          Remove…
        </button>
      </div>
      {asking === "shut" ? (
        <ConfirmDialog
          title={`Shut ${person.name} out?`}
          yes="Shut them out"
          act={() => patch({ enabled: false })}
          close={() => ask(null)}
        >
          <p>Their sessions end at once. You can let them in again with the same password.</p>
        </ConfirmDialog>
      ) : null}
      {asking === "remove" ? (
        <ConfirmDialog title={`Remove ${person.name}?`} yes="Remove them" act={drop} close={() => ask(null)}>
          <p>Their sessions end at once. Their name stays in the logbook beside what they did.</p>
        </ConfirmDialog>
      ) : null}
    </Dialog>
  );
}
