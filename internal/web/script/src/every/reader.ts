// The reader's choices: sent as soon as one is made.

import { all, find, forEach } from "../base/page";

/** Wires the form of language, units and light. */
export function wire(): void {
  forEach('form[action="/reader"]', (form) => {
    for (const b of all("button", form)) b.hidden = true;
    form.addEventListener("change", () => (form as HTMLFormElement).requestSubmit());
  });
}

/** Shows what is for pages with scripts and hides what is for pages without. */
export function reveal(): void {
  forEach("[data-without-scripts]", (e) => {
    e.hidden = true;
    for (const f of all<HTMLInputElement>("input, select, textarea", e)) f.required = false;
  });
  forEach("[data-with-scripts]", (e) => {
    e.hidden = false;
    find("[autofocus]", e)?.focus();
  });
}
