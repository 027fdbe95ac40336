// A dialog over the page: the browser's own <dialog>, which keeps the focus inside
// and closes on Escape; on closing the focus goes back to what opened it.
import type { ComponentChildren, JSX } from "preact";
import { useEffect, useId, useRef, useState } from "preact/hooks";
import type { Problem } from "../types.ts";

export function Dialog(props: {
  title: string;
  close: () => void;
  children: ComponentChildren;
}): JSX.Element {
  const element = useRef<HTMLDialogElement>(null);
  const title = useId();
  useEffect(() => {
    const opener = document.activeElement;
    const dialog = element.current;
    if (dialog !== null && !dialog.open) dialog.showModal();
    return () => {
      if (dialog?.open === true) dialog.close();
      if (opener instanceof HTMLElement && opener.isConnected) opener.focus();
      else document.getElementById("room")?.focus();
    };
  }, []);
  return (
    <dialog
      ref={element}
      aria-labelledby={title}
      onCancel={(event) => {
        event.preventDefault();
        props.close();
      }}
    >
      <div class="dialog-head">
        <h2 id={title}>{props.title}</h2>
        <button type="button" class="button quiet" onClick={props.close}>
          Close
        </button>
      </div>
      {props.children}
    </dialog>
  );
}

// A question before something that cannot be undone. `act` returns the problem, or
// null when it is done.
export function ConfirmDialog(props: {
  title: string;
  children: ComponentChildren;
  yes: string;
  act: () => Promise<Problem | null>;
  close: () => void;
}): JSX.Element {
  const [problem, tell] = useState<Problem | null>(null);
  const [busy, work] = useState(false);
  const go = async (): Promise<void> => {
    work(true);
    const failed = await props.act();
    work(false);
    if (failed === null) props.close();
    else tell(failed);
  };
  return (
    <Dialog title={props.title} close={props.close}>
      {props.children}
      {problem === null ? null : (
        <p class="form-problem" role="alert">
          {problem.detail} {problem.remedy ?? ""}
        </p>
      )}
      <div class="actions">
        <button type="button" class="button strong" disabled={busy} onClick={() => void go()}>
          {props.yes}
        </button>
        <button type="button" class="button" onClick={props.close}>
          Leave it as it is
        </button>
      </div>
    </Dialog>
  );
}
