// Accesses of rovers: helpers see them, owners change them.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { mayHelp, mayOwn, type Resource } from "../state.ts";
import type { Account, Stream } from "../types.ts";
import { bytes, plural } from "../ui/format.ts";
import { Panel, type Absent } from "../ui/panel.tsx";
import { ChangeAccount, NewAccount, ShowToken } from "./stream_account_dialogs.tsx";

type Open =
  | { kind: "new" }
  | { kind: "change"; name: string }
  | { kind: "token"; name: string; token: string };

export function AccountList(props: { resource: Resource<Stream> }): JSX.Element | null {
  const [open, set] = useState<Open | null>(null);
  if (!mayHelp.value) return null;
  const add = (
    <button type="button" class="button" onClick={() => set({ kind: "new" })}>
      Let a rover in
    </button>
  );
  const none = (of: Stream): Absent | null => {
    if ((of.accounts ?? []).length > 0) return null;
    return {
      will: "Every rover that may connect, with its limits.",
      why: mayOwn.value
        ? "No rover has an access yet. You give it a name, and get a token to enter in the rover."
        : "No rover has an access yet. An owner gives it one.",
      ...(mayOwn.value ? { action: add } : {}),
    };
  };
  return (
    <>
      <Panel
        title="Who may connect"
        resource={props.resource}
        first={none}
        empty={() => null}
        aside={mayOwn.value && (props.resource.data.value?.accounts ?? []).length > 0 ? add : undefined}
      >
        {(of) => (
          <ul class="rows">
            {(of.accounts ?? []).map((account) => (
              <Row
                key={account.name}
                account={account}
                change={() => set({ kind: "change", name: account.name })}
              />
            ))}
          </ul>
        )}
      </Panel>
      <Dialogs resource={props.resource} open={open} set={set} />
    </>
  );
}

function Dialogs(props: {
  resource: Resource<Stream>;
  open: Open | null;
  set: (open: Open | null) => void;
}): JSX.Element | null {
  const { open, set } = props;
  const close = (): void => set(null);
  if (open === null) return null;
  const showToken = (name: string, token: string): void => set({ kind: "token", name, token });
  if (open.kind === "token") {
    const of = props.resource.data.value;
    return <ShowToken name={open.name} token={open.token} mounts={of?.mountpoints ?? []} close={close} />;
  }
  if (open.kind === "new") return <NewAccount close={close} made={showToken} />;
  const account = props.resource.data.value?.accounts?.find((one) => one.name === open.name);
  if (account === undefined) return null;
  return <ChangeAccount account={account} close={close} made={showToken} />;
}

export function limitWords(account: Account): string {
  const most =
    account.max_connections === null
      ? "any number at a time"
      : `${plural(account.max_connections, "connection")} at a time`;
  const rate =
    account.max_bytes_per_hour === null
      ? "as much as there is"
      : `at most ${bytes(account.max_bytes_per_hour)} an hour`;
  return `${most}, ${rate}`;
}

function Row(props: { account: Account; change: () => void }): JSX.Element {
  const { account } = props;
  return (
    <li class={account.enabled ? undefined : "shut"}>
      <div>
        <p class="row-name">{account.name}</p>
        <p class="row-more">
          {account.enabled ? "" : "Shut out. "}
          {account.kind === "person" ? "A person of this station; " : ""}
          {limitWords(account)}
        </p>
      </div>
      <p>{account.connected === 0 ? "not here" : account.connected === 1 ? "here now" : `here ${account.connected} times`}</p>
      {mayOwn.value && account.kind === "stream" ? (
        <button type="button" class="button small" aria-label={`Change ${account.name}`} onClick={props.change}>
          Change
        </button>
      ) : null}
    </li>
  );
}
