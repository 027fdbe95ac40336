// The two fields of a new password, wherever one is set.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { PasswordField, type Mistake } from "../ui/form.tsx";
import { checkNewPassword, kPasswordHint } from "./passwords.ts";

type MistakeOf = (field: string) => string | null;

export interface NewPassword {
  value: string;
  check: () => Mistake[];
  // hint: what follows the usual one.
  fields: (mistakeOf: MistakeOf, prefix: string, label: string, hint?: string) => JSX.Element;
}

// name: the field of the API's body; the second field's is "again".
export function useNewPassword(name = "password"): NewPassword {
  const [value, setValue] = useState("");
  const [again, setAgain] = useState("");
  return {
    value,
    check: () => checkNewPassword(value, again, name, "again"),
    fields: (mistakeOf, prefix, label, hint = "") => (
      <>
        <PasswordField
          name={name}
          label={label}
          hint={`${kPasswordHint} ${hint}`.trim()}
          prefix={prefix}
          mistake={mistakeOf(name)}
          value={value}
          set={setValue}
          autocomplete="new-password"
        />
        <PasswordField
          name="again"
          label="The password again"
          prefix={prefix}
          mistake={mistakeOf("again")}
          value={again}
          set={setAgain}
          autocomplete="new-password"
        />
      </>
    ),
  };
}
