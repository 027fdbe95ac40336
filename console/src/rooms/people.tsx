// Who may come in: everybody sees themselves, owners see all.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import * as api from "../api.ts";
import { mayOwn, session, signOut, useDocument } from "../state.ts";
import type { People, Person, Problem, Role } from "../types.ts";
import { announce } from "../ui/announce.tsx";
import { Form, PasswordField, type Mistake } from "../ui/form.tsx";
import { kRoles, plural, utc } from "../ui/format.ts";
import { Panel } from "../ui/panel.tsx";
import { useNewPassword } from "./new_password.tsx";
import { ChangePerson, NewPerson } from "./people_dialogs.tsx";

export const kMay: Record<Role, string> = {
  guest: "Looks on; coordinates, addresses and the rovers' names are left out.",
  helper: "Sees everything, starts and cancels work, downloads.",
  owner: "Everything: adopts coordinates, lets rovers and people in.",
};

export function PeopleRoom(): JSX.Element {
  return (
    <div class="columns">
      <div>
        <You />
      </div>
      <div>{mayOwn.value ? <Everybody /> : <NotYours />}</div>
    </div>
  );
}

function NotYours(): JSX.Element {
  return (
    <section class="panel">
      <div class="panel-head">
        <h2>Everybody else</h2>
      </div>
      <p>The list of people is for owners. Ask one of them to let somebody in or to change what you may do.</p>
    </section>
  );
}

function You(): JSX.Element {
  const who = session.value;
  const [problem, tell] = useState<Problem | null>(null);
  const [changing, change] = useState(false);
  if (who === null) return <p>Nobody is signed in.</p>;
  const go = async (): Promise<void> => tell(await signOut());
  return (
    <section class="panel">
      <div class="panel-head">
        <h2>You</h2>
      </div>
      <p class="says">
        <strong>{who.name}</strong>, {kRoles[who.role]}. {kMay[who.role]}
      </p>
      <p class="small-print">Signed in until {utc(who.ends)}.</p>
      {problem === null ? null : (
        <p class="form-problem" role="alert">
          {problem.detail} {problem.remedy ?? ""}
        </p>
      )}
      <div class="actions">
        <button type="button" class="button" onClick={() => void go()}>
          Sign out
        </button>
        {changing ? null : (
          <button type="button" class="button" onClick={() => change(true)}>
            Change your password
          </button>
        )}
      </div>
      {changing ? <OwnPassword done={() => change(false)} name={who.name} /> : null}
    </section>
  );
}

function OwnPassword(props: { name: string; done: () => void }): JSX.Element {
  const [old, setOld] = useState("");
  const next = useNewPassword("new");
  const check = (): Mistake[] => [
    ...(old === "" ? [{ field: "old", words: "Enter the password you have now." }] : []),
    ...next.check(),
  ];
  const send = async (): Promise<Problem | null> => {
    const answer = await api.put("password", { old, new: next.value });
    if (!answer.ok) {
      const { problem } = answer;
      return problem.code === "wrong_login"
        ? { ...problem, field: "old", detail: "The password you have now is not this one." }
        : problem;
    }
    announce("Your password is changed. Your other sessions have ended.");
    props.done();
    return null;
  };
  return (
    <div class="apart">
      <h3>A new password</h3>
      <p class="small-print">Wherever else you are signed in, that session ends.</p>
      <Form
        check={check}
        send={send}
        fields={["old", "new"]}
        submit="Change it"
        beside={
          <button type="button" class="button" onClick={props.done}>
            Leave it as it is
          </button>
        }
      >
        {(mistakeOf, prefix) => (
          <>
            <input class="unseen" type="text" name="username" autocomplete="username" value={props.name} readOnly tabIndex={-1} aria-hidden="true" />
            <PasswordField
              name="old"
              label="The password you have now"
              prefix={prefix}
              mistake={mistakeOf("old")}
              value={old}
              set={setOld}
              autocomplete="current-password"
            />
            {next.fields(mistakeOf, prefix, "The new one")}
          </>
        )}
      </Form>
    </div>
  );
}

function Everybody(): JSX.Element {
  const people = useDocument<People>("people", "people");
  const [open, set] = useState<{ kind: "new" } | { kind: "change"; name: string } | null>(null);
  const add = (
    <button type="button" class="button" onClick={() => set({ kind: "new" })}>
      Let somebody in
    </button>
  );
  const chosen =
    open?.kind === "change" ? people.data.value?.people.find((one) => one.name === open.name) : undefined;
  const close = (): void => {
    set(null);
    people.reload();
  };
  return (
    <>
      <Panel
        title="Everybody"
        resource={people}
        first={(of) =>
          of.people.length > 1
            ? null
            : {
                will: "Everybody who may come in, and what they may do.",
                why: "So far you are the only one. A second owner is wise: a lost password then costs nothing.",
                action: add,
              }
        }
        empty={() => null}
        aside={(people.data.value?.people.length ?? 0) > 1 ? add : undefined}
      >
        {(of) => (
          <>
            <ul class="rows">
              {of.people.map((person) => (
                <Row key={person.name} person={person} change={() => set({ kind: "change", name: person.name })} />
              ))}
            </ul>
            <p class="small-print">
              {plural(of.people.filter((one) => one.role === "owner" && one.enabled).length, "owner")}. The last
              one can be neither removed nor shut out.
            </p>
          </>
        )}
      </Panel>
      {open?.kind === "new" ? <NewPerson close={close} /> : null}
      {chosen === undefined ? null : <ChangePerson person={chosen} close={close} />}
    </>
  );
}

function Row(props: { person: Person; change: () => void }): JSX.Element {
  const { person } = props;
  const you = person.name === session.value?.name;
  return (
    <li class={person.enabled ? undefined : "shut"}>
      <div>
        <p class="row-name">
          {person.name}
          {you ? " (you)" : ""}
        </p>
        <p class="row-more">
          {person.enabled ? "" : "Shut out. "}
          {kMay[person.role]}
        </p>
      </div>
      <p>{kRoles[person.role]}</p>
      <button type="button" class="button small" aria-label={`Change ${person.name}`} onClick={props.change}>
        Change
      </button>
    </li>
  );
}
