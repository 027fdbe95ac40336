// The door of a station that has an owner.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import * as api from "../api.ts";
import { ThemeChoice } from "../shell/foot.tsx";
import { endedBecause, enter } from "../state.ts";
import type { Door, Entered, Problem } from "../types.ts";
import { Form, PasswordField, TextField, type Mistake } from "../ui/form.tsx";
import { CautionList } from "./cautions.tsx";
import { ClaimForm } from "./claim.tsx";

export function SignInPage(props: { door: Door }): JSX.Element {
  const { door } = props;
  const [name, setName] = useState("");
  const [password, setPassword] = useState("");
  useEffect(() => {
    document.title = `Sign in – ${door.station}`;
  }, [door.station]);
  const check = (): Mistake[] => {
    const found: Mistake[] = [];
    if (name.trim() === "") found.push({ field: "name", words: "Enter your name here." });
    if (password === "") found.push({ field: "password", words: "Enter your password." });
    return found;
  };
  const send = async (): Promise<Problem | null> => {
    const answer = await api.post<Entered>("sessions", { name: name.trim(), password });
    // Which of the two is wrong the station tells nobody.
    if (!answer.ok) {
      return answer.problem.code === "wrong_login"
        ? { ...answer.problem, detail: "Name or password is not right." }
        : answer.problem;
    }
    enter(answer.value.session);
    return null;
  };
  return (
    <main class="door">
      <p class="whose">
        <strong>{door.station}</strong>
        {door.place === null ? null : <span>{door.place}</span>}
      </p>
      <h1>Sign in</h1>
      {endedBecause.value === null ? null : <p class="lead">{endedBecause.value}</p>}
      <Form check={check} send={send} fields={["name", "password"]} submit="Sign in">
        {(mistakeOf, prefix) => (
          <>
            <TextField
              name="name"
              label="Name"
              prefix={prefix}
              mistake={mistakeOf("name")}
              value={name}
              set={setName}
              autocomplete="username"
            />
            <PasswordField
              name="password"
              label="Password"
              prefix={prefix}
              mistake={mistakeOf("password")}
              value={password}
              set={setPassword}
              autocomplete="current-password"
            />
          </>
        )}
      </Form>
      <p class="small-print">
        Forgotten it? An owner gives you a new one in the room People. If no owner can come in any more, run{" "}
        <code>stillpoint claim --config …</code> on the station itself and load this page again.
      </p>
      {door.claim_open ? <ClaimForm again /> : null}
      <details>
        <summary>Cautions: roofs, lightning, radio, boundaries, machines</summary>
        <CautionList />
      </details>
      <ThemeChoice />
    </main>
  );
}
