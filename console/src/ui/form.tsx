// Forms: fields with their words, and a summary of mistakes that takes the focus,
// links to the fields and says the same words as they do.
import type { ComponentChildren, JSX } from "preact";
import { useEffect, useId, useRef, useState } from "preact/hooks";
import type { Problem } from "../types.ts";

export interface Mistake {
  // The field's name; null for one that belongs to no field.
  field: string | null;
  words: string;
}

// The mistakes that a refusal by the station amounts to, for fields of these names.
export function mistakesOf(problem: Problem, fields: string[]): Mistake[] {
  const wait =
    problem.retry_after_s === null ? "" : ` Wait ${Math.ceil(problem.retry_after_s)} s before the next try.`;
  const words = `${problem.detail} ${problem.remedy ?? ""}`.trim() + wait;
  const known = problem.field !== null && fields.includes(problem.field);
  return [{ field: known ? problem.field : null, words }];
}

export interface FormProps {
  // Checks before anything is sent; an empty list means that all is well.
  check: () => Mistake[];
  // Sends; the problem, or null when it is done.
  send: () => Promise<Problem | null>;
  fields: string[];
  submit: string;
  children: (mistakeOf: (field: string) => string | null, prefix: string) => ComponentChildren;
  // Beside the submit button.
  beside?: ComponentChildren;
}

export function Form(props: FormProps): JSX.Element {
  const [mistakes, tell] = useState<Mistake[]>([]);
  const [tries, count] = useState(0);
  const [busy, work] = useState(false);
  const summary = useRef<HTMLDivElement>(null);
  const prefix = useId();
  useEffect(() => {
    if (mistakes.length > 0) summary.current?.focus();
  }, [tries]);
  const go = async (): Promise<void> => {
    if (busy) return;
    let found = props.check();
    if (found.length === 0) {
      work(true);
      const problem = await props.send();
      work(false);
      if (problem !== null) found = mistakesOf(problem, props.fields);
    }
    tell(found);
    count((n) => n + 1);
  };
  const mistakeOf = (field: string): string | null =>
    mistakes.find((mistake) => mistake.field === field)?.words ?? null;
  return (
    <form
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void go();
      }}
    >
      {mistakes.length === 0 ? null : (
        <div ref={summary} class="form-problem" tabIndex={-1} role="alert">
          <p>
            <strong>
              {mistakes.length === 1 ? "One thing is in the way." : `${mistakes.length} things are in the way.`}
            </strong>
          </p>
          <ul>
            {mistakes.map((mistake) => (
              <li key={mistake.words}>
                {mistake.field === null ? (
                  mistake.words
                ) : (
                  <a
                    href={`#${prefix}${mistake.field}`}
                    onClick={(event) => {
                      event.preventDefault();
                      document.getElementById(prefix + (mistake.field ?? ""))?.focus();
                    }}
                  >
                    {mistake.words}
                  </a>
                )}
              </li>
            ))}
          </ul>
        </div>
      )}
      {props.children(mistakeOf, prefix)}
      <div class="actions">
        <button type="submit" class="button strong" aria-disabled={busy ? "true" : undefined}>
          {busy ? "One moment…" : props.submit}
        </button>
        {props.beside}
      </div>
    </form>
  );
}

interface FieldProps {
  name: string;
  label: string;
  prefix: string;
  mistake: string | null;
  hint?: ComponentChildren;
}

function Frame(props: FieldProps & { children: ComponentChildren }): JSX.Element {
  const id = props.prefix + props.name;
  return (
    <div class={props.mistake === null ? "field" : "field wrong"}>
      <label for={id}>{props.label}</label>
      {props.hint === undefined ? null : (
        <p class="hint" id={`${id}-hint`}>
          {props.hint}
        </p>
      )}
      {props.mistake === null ? null : (
        <p class="mistake" id={`${id}-mistake`}>
          {props.mistake}
        </p>
      )}
      {props.children}
    </div>
  );
}

const describedBy = (props: FieldProps): string | undefined => {
  const id = props.prefix + props.name;
  const ids = [
    ...(props.hint === undefined ? [] : [`${id}-hint`]),
    ...(props.mistake === null ? [] : [`${id}-mistake`]),
  ];
  return ids.length === 0 ? undefined : ids.join(" ");
};

// The types of Preact want one element a kind of input; ours differ in nothing else.
const kindOf = (type: string): { type: "text" } => ({ type }) as { type: "text" };

export function TextField(
  props: FieldProps & {
    value: string;
    set: (value: string) => void;
    type?: "text" | "password" | "number" | "datetime-local";
    autocomplete?: string;
    inputMode?: "text" | "numeric" | "decimal";
    spellcheck?: boolean;
  },
): JSX.Element {
  return (
    <Frame {...props}>
      <input
        id={props.prefix + props.name}
        name={props.name}
        {...kindOf(props.type ?? "text")}
        value={props.value}
        autocomplete={props.autocomplete ?? "off"}
        inputMode={props.inputMode}
        autocapitalize="none"
        spellcheck={props.spellcheck ?? false}
        aria-invalid={props.mistake === null ? undefined : "true"}
        aria-describedby={describedBy(props)}
        onInput={(event) => props.set(event.currentTarget.value)}
      />
    </Frame>
  );
}

// A password: pasting is welcome, and it can be looked at.
export function PasswordField(
  props: FieldProps & {
    value: string;
    set: (value: string) => void;
    autocomplete: "current-password" | "new-password";
  },
): JSX.Element {
  const [shown, show] = useState(false);
  return (
    <Frame {...props}>
      <div class="with-button">
        <input
          id={props.prefix + props.name}
          name={props.name}
          {...kindOf(shown ? "text" : "password")}
          value={props.value}
          autocomplete={props.autocomplete}
          autocapitalize="none"
          spellcheck={false}
          aria-invalid={props.mistake === null ? undefined : "true"}
          aria-describedby={describedBy(props)}
          onInput={(event) => props.set(event.currentTarget.value)}
        />
        <button
          type="button"
          class="button"
          aria-pressed={shown ? "true" : "false"}
          aria-label={`Show what is in “${props.label}”`}
          onClick={() => show(!shown)}
        >
          {shown ? "Hide" : "Show"}
        </button>
      </div>
    </Frame>
  );
}

export function TextArea(
  props: FieldProps & { value: string; set: (value: string) => void; rows?: number },
): JSX.Element {
  return (
    <Frame {...props}>
      <textarea
        id={props.prefix + props.name}
        name={props.name}
        rows={props.rows ?? 3}
        value={props.value}
        aria-invalid={props.mistake === null ? undefined : "true"}
        aria-describedby={describedBy(props)}
        onInput={(event) => props.set(event.currentTarget.value)}
      />
    </Frame>
  );
}

export function SelectField<T extends string>(
  props: FieldProps & {
    value: T;
    set: (value: T) => void;
    choices: { value: T; words: string }[];
  },
): JSX.Element {
  return (
    <Frame {...props}>
      <select
        id={props.prefix + props.name}
        name={props.name}
        value={props.value}
        aria-describedby={describedBy(props)}
        onChange={(event) => props.set(event.currentTarget.value as T)}
      >
        {props.choices.map((choice) => (
          <option key={choice.value} value={choice.value}>
            {choice.words}
          </option>
        ))}
      </select>
    </Frame>
  );
}

export function CheckField(props: {
  name: string;
  label: string;
  prefix: string;
  value: boolean;
  set: (value: boolean) => void;
  hint?: ComponentChildren;
}): JSX.Element {
  const id = props.prefix + props.name;
  return (
    <div class="field check">
      <input
        id={id}
        name={props.name}
        type="checkbox"
        checked={props.value}
        aria-describedby={props.hint === undefined ? undefined : `${id}-hint`}
        onChange={(event) => props.set(event.currentTarget.checked)}
      />
      <label for={id}>{props.label}</label>
      {props.hint === undefined ? null : (
        <p class="hint" id={`${id}-hint`}>
          {props.hint}
        </p>
      )}
    </div>
  );
}
