// Choices that are sent as soon as they are made, and what only a page without scripts needs.

import { all, forEach } from "../base/page";

/** Wires the forms that ask for it: language and units, filters. */
export function wire(): void {
  forEach("form[data-switch]", (form) => {
    form.addEventListener("change", () => (form as HTMLFormElement).requestSubmit());
  });
}

/** What is for pages without scripts is hidden by the look; here it no longer asks to be filled in. */
export function release(): void {
  forEach("[data-plain]", (e) => {
    for (const f of all<HTMLInputElement>("input, select, textarea", e)) f.required = false;
  });
}
