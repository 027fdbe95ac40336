// The first page of a new station: whoever can read the code on the station itself
// becomes its first owner.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import * as api from "../api.ts";
import { enter, lookAtDoor } from "../state.ts";
import type { Door, Entered, Problem } from "../types.ts";
import { ThemeChoice } from "../shell/foot.tsx";
import { Form, TextField, type Mistake } from "../ui/form.tsx";
import { CautionList } from "./cautions.tsx";
import { Fingerprint } from "./fingerprint.tsx";
import { useNewPassword } from "./new_password.tsx";

export function ClaimPage(props: { door: Door }): JSX.Element {
  const { door } = props;
  useEffect(() => {
    document.title = `Claim ${door.station} – Stillpoint`;
  }, [door.station]);
  return (
    <main class="door">
      <p class="whose">
        <strong>{door.station}</strong>
        {door.place === null ? null : <span>{door.place}</span>}
      </p>
      <h1>This station has no owner yet</h1>
      {door.claim_open ? (
        <p class="lead">
          Claim it with the code that it shows to whoever can reach it. Until then nothing but this
          page answers.
        </p>
      ) : (
        <ClaimClosed />
      )}
      <section class="panel">
        <div class="panel-head">
          <h2>Where the code is found</h2>
        </div>
        <p>On the computer of the station itself, run</p>
        <p>
          <code class="command">stillpoint claim --config /etc/stillpoint/station.toml</code>
        </p>
        <p>
          It prints a code that holds for one hour and for one claim. If yours has run out, the same
          command makes a new one.
        </p>
        <Fingerprint of={door.fingerprint} />
      </section>
      {door.claim_open ? <ClaimForm /> : null}
      <section class="panel">
        <div class="panel-head">
          <h2>Before you climb, connect or rely on it</h2>
        </div>
        <CautionList />
      </section>
      <ThemeChoice />
    </main>
  );
}

function ClaimClosed(): JSX.Element {
  return (
    <div class="failed">
      <p>
        <strong>No code is valid at present.</strong> Run the command below on the station; then look
        here again.
      </p>
      <button type="button" class="button strong" onClick={() => void lookAtDoor()}>
        Look again
      </button>
    </div>
  );
}

// Also for a station that has an owner: whoever opened a new code there has lost
// the password, and gets a new one under the old name.
export function ClaimForm(props: { again?: boolean }): JSX.Element {
  const [code, setCode] = useState("");
  const [name, setName] = useState("");
  const password = useNewPassword();
  const check = (): Mistake[] => {
    const found: Mistake[] = [];
    if (code.trim() === "") found.push({ field: "code", words: "Enter the code that the station printed." });
    if (name.trim() === "") found.push({ field: "name", words: "Enter a name for yourself." });
    return [...found, ...password.check()];
  };
  const send = async (): Promise<Problem | null> => {
    const answer = await api.post<Entered>("claim", { code: code.trim(), name: name.trim(), password: password.value });
    if (answer.ok) {
      enter(answer.value.session);
      return null;
    }
    if (answer.problem.status === 409) void lookAtDoor();
    // The station does not say what is wrong; here it can only be the code.
    return answer.problem.code === "wrong_login"
      ? { ...answer.problem, field: "code", detail: "This code is not right." }
      : answer.problem;
  };
  return (
    <section class="panel">
      <div class="panel-head">
        <h2>{props.again === true ? "Come in with a code" : "Become its owner"}</h2>
      </div>
      <Form check={check} send={send} fields={["code", "name", "password"]} submit={props.again === true ? "Come in" : "Claim this station"}>
        {(mistakeOf, prefix) => (
          <>
            <TextField
              name="code"
              label="Code"
              prefix={prefix}
              mistake={mistakeOf("code")}
              value={code}
              set={setCode}
              autocomplete="one-time-code"
            />
            <TextField
              name="name"
              label="Your name here"
              hint={
                props.again === true
                  ? "Your name as an owner: it gets the new password. Another name becomes one more owner."
                  : "Up to 64 letters; capitals count. It stands in the logbook beside what you do."
              }
              prefix={prefix}
              mistake={mistakeOf("name")}
              value={name}
              set={setName}
              autocomplete="username"
            />
            {password.fields(mistakeOf, prefix, "A password")}
          </>
        )}
      </Form>
    </section>
  );
}
