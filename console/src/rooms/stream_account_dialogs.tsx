// The dialogs about a rover's access: a new one, its token, its changes, its end.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import * as api from "../api.ts";
import { touch } from "../state.ts";
import type { Account, Problem, Stream } from "../types.ts";
import { CopyButton } from "../ui/copy.tsx";
import { ConfirmDialog, Dialog } from "../ui/dialog.tsx";
import { Form, TextField, type Mistake } from "../ui/form.tsx";
import { wholeNumber, type Limit } from "./limits.ts";

interface Made {
  name: string;
  token: string;
}
type Tell = (name: string, token: string) => void;

const kMega = 1e6;

// Two limits as they are typed, and what they amount to.
function useLimits(account: Account | null): {
  fields: (mistakeOf: (field: string) => string | null, prefix: string) => JSX.Element;
  check: () => Mistake[];
  body: () => { max_connections: Limit; max_bytes_per_hour: Limit };
} {
  const [most, setMost] = useState(account === null ? "1" : String(account.max_connections ?? ""));
  const [rate, setRate] = useState(
    account?.max_bytes_per_hour == null ? "" : String(account.max_bytes_per_hour / kMega),
  );
  return {
    fields: (mistakeOf, prefix) => (
      <>
        <TextField
          name="max_connections"
          label="Connections at a time"
          hint="Empty: any number. One is right for one rover; a token that is passed around shows itself."
          prefix={prefix}
          mistake={mistakeOf("max_connections")}
          value={most}
          set={setMost}
          inputMode="numeric"
        />
        <TextField
          name="max_bytes_per_hour"
          label="Megabytes an hour"
          hint="Empty: as much as there is. What a connected rover was sent so far stands in this room."
          prefix={prefix}
          mistake={mistakeOf("max_bytes_per_hour")}
          value={rate}
          set={setRate}
          inputMode="decimal"
        />
      </>
    ),
    check: () => {
      const found: Mistake[] = [];
      if (wholeNumber(most, 1, 1) === undefined) {
        found.push({ field: "max_connections", words: "Enter a whole number from 1 on for the connections, or leave it empty." });
      }
      if (wholeNumber(rate, kMega, 1) === undefined) {
        found.push({ field: "max_bytes_per_hour", words: "Enter a number above 0 for the megabytes, or leave it empty." });
      }
      return found;
    },
    body: () => ({
      max_connections: wholeNumber(most, 1, 1) ?? null,
      max_bytes_per_hour: wholeNumber(rate, kMega, 1) ?? null,
    }),
  };
}

export function NewAccount(props: { close: () => void; made: Tell }): JSX.Element {
  const [name, setName] = useState("");
  const limits = useLimits(null);
  const check = (): Mistake[] => [
    ...(name.trim() === "" ? [{ field: "name", words: "Enter a name for the rover." }] : []),
    ...limits.check(),
  ];
  const send = async (): Promise<Problem | null> => {
    const answer = await api.post<Made>("rovers", { name: name.trim(), ...limits.body() });
    if (!answer.ok) return answer.problem;
    touch("stream");
    props.made(answer.value.name, answer.value.token);
    return null;
  };
  return (
    <Dialog title="Let a rover in" close={props.close}>
      <Form
        check={check}
        send={send}
        fields={["name", "max_connections", "max_bytes_per_hour"]}
        submit="Make its token"
      >
        {(mistakeOf, prefix) => (
          <>
            <TextField
              name="name"
              label="Name"
              hint="Such as ditch-1; capitals count. The rover gives it as its user name."
              prefix={prefix}
              mistake={mistakeOf("name")}
              value={name}
              set={setName}
            />
            {limits.fields(mistakeOf, prefix)}
          </>
        )}
      </Form>
    </Dialog>
  );
}

export function ShowToken(props: {
  name: string;
  token: string;
  mounts: Stream["mountpoints"];
  close: () => void;
}): JSX.Element {
  const mount = props.mounts.find((one) => !one.open) ?? props.mounts[0];
  return (
    <Dialog title={`The token of ${props.name}`} close={props.close}>
      <p>
        <strong>It is shown this once.</strong> The station keeps only what it needs to recognise it. If it
        is lost, make a new one.
      </p>
      <p class="token">
        <code>{props.token}</code>
      </p>
      <div class="actions">
        <CopyButton text={props.token} what="the token" />
      </div>
      <p>Enter in the rover:</p>
      <dl class="enter">
        <div>
          <dt>Address</dt>
          <dd>
            <code>{location.hostname}</code>, or however the rover reaches this station
          </dd>
        </div>
        <div>
          <dt>Mountpoint</dt>
          <dd>
            <code>{mount?.name ?? "one of the room Stream"}</code>
          </dd>
        </div>
        <div>
          <dt>User name</dt>
          <dd>
            <code>{props.name}</code>
          </dd>
        </div>
        <div>
          <dt>Password</dt>
          <dd>the token above</dd>
        </div>
      </dl>
      <div class="actions">
        <button type="button" class="button strong" onClick={props.close}>
          I have kept it
        </button>
      </div>
    </Dialog>
  );
}

export function ChangeAccount(props: { account: Account; close: () => void; made: Tell }): JSX.Element {
  const { account } = props;
  const path = `rovers/${encodeURIComponent(account.name)}`;
  const limits = useLimits(account);
  const [asking, ask] = useState<"token" | "remove" | null>(null);
  const [problem, tell] = useState<Problem | null>(null);
  const patch = async (body: object): Promise<Problem | null> => {
    const answer = await api.patch<Made>(path, body);
    touch("stream");
    return answer.ok ? null : answer.problem;
  };
  const save = async (): Promise<Problem | null> => {
    const failed = await patch(limits.body());
    if (failed === null) props.close();
    return failed;
  };
  const toggle = async (): Promise<void> => {
    const failed = await patch({ enabled: !account.enabled });
    tell(failed);
  };
  const renew = async (): Promise<Problem | null> => {
    const answer = await api.patch<Made>(path, { new_token: true });
    if (!answer.ok) return answer.problem;
    // After the dialog of the question has closed itself.
    setTimeout(() => props.made(account.name, answer.value.token), 0);
    return null;
  };
  const drop = async (): Promise<Problem | null> => {
    const answer = await api.remove(path);
    if (!answer.ok) return answer.problem;
    touch("stream");
    setTimeout(props.close, 0);
    return null;
  };
  return (
    <Dialog title={account.name} close={props.close}>
      <Form check={limits.check} send={save} fields={["max_connections", "max_bytes_per_hour"]} submit="Keep these limits">
        {limits.fields}
      </Form>
      <h3 class="apart">Its access</h3>
      <p>
        {account.enabled
          ? "This rover may connect."
          : "This rover is shut out; its token is kept and works again when it is let in."}
      </p>
      {problem === null ? null : (
        <p class="form-problem" role="alert">
          {problem.detail} {problem.remedy ?? ""}
        </p>
      )}
      <div class="actions">
        <button type="button" class="button" onClick={() => void toggle()}>
          {account.enabled ? "Shut it out" : "Let it in again"}
        </button>
        <button type="button" class="button" onClick={() => ask("token")}>
          New token…
        </button>
        <button type="button" class="button" onClick={() => ask("remove")}>
          Remove…
        </button>
      </div>
      {asking === "token" ? (
        <ConfirmDialog
          title={`A new token for ${account.name}?`}
          yes="Make a new token"
          act={renew}
          close={() => ask(null)}
        >
          <p>The old token stops working at once; the rover gets nothing until the new one is entered there.</p>
        </ConfirmDialog>
      ) : null}
      {asking === "remove" ? (
        <ConfirmDialog title={`Remove ${account.name}?`} yes="Remove it" act={drop} close={() => ask(null)}>
          <p>
            Its token stops working for good, and it is cut off if it is connected. What it did stays in the
            logbook. To stop it for a while, shut it out instead.
          </p>
        </ConfirmDialog>
      ) : null}
    </Dialog>
  );
}
