// Forms that record an act and work without network: the act is kept on the tablet, then sent.

import { all, find, forEach } from "../base/page";
import { say } from "../base/words";
import { bodyOf, type Field } from "./body";
import { digestOf, keep, lasts } from "./queue";
import type { Fate } from "./send";

/** Takes over the forms of the page that ask for it. */
export function wire(): void {
  forEach("form[data-queue]", (form) => {
    form.addEventListener("submit", (e) => {
      e.preventDefault();
      void submit(form as HTMLFormElement);
    });
  });
}

async function submit(form: HTMLFormElement): Promise<void> {
  if (form.hasAttribute("data-busy")) return; // a second tap of a wet finger
  form.setAttribute("data-busy", "");
  try {
    const { body, files } = await filled(form);
    const says = form.dataset["queueSays"] ?? find("button", form)?.textContent?.trim() ?? "";
    const { fate } = await keep({ station: form.dataset["station"] ?? "", act: form.dataset["queue"] ?? "", body, says, files });
    answer(form, say((await lasts()) ? "script.kept" : "script.kept-in-page"), "kept");
    told(form, await fate);
  } catch {
    answer(form, say("script.store-full"), "bad");
  } finally {
    form.removeAttribute("data-busy");
  }
}

/** Says what became of it. A refused act stays in the form too, where it can be put right. */
function told(form: HTMLFormElement, fate: Fate | { is: "kept" }): void {
  switch (fate.is) {
    case "sent":
      answer(form, say("script.sent"), "good");
      form.reset();
      if (form.dataset["after"]) location.assign(form.dataset["after"]);
      return;
    case "conflict":
      answer(form, say("script.conflict"), "doubt");
      form.reset();
      return;
    case "refused":
      answer(form, [say("script.refused"), fate.problem.detail, fate.problem.next].filter(Boolean).join(" · "), "bad");
      return;
    case "kept":
      form.reset();
  }
}

function answer(form: HTMLFormElement, text: string, tone: string): void {
  const place = find("[data-queue-answer]", form);
  if (!place) return;
  place.textContent = text;
  place.dataset["tone"] = tone;
}

/** What is filled in, as the body of an act, and the files in it. */
async function filled(form: HTMLFormElement): Promise<{ body: Record<string, unknown>; files: Blob[] }> {
  const files: Blob[] = [];
  const fields: Field[] = [];
  for (const e of all<HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement>("input[name], select[name], textarea[name]", form)) {
    if (e.matches(":disabled") || e.name.startsWith("_")) continue;
    if (e instanceof HTMLInputElement && (e.type === "checkbox" || e.type === "radio") && !e.checked) continue;
    if (e instanceof HTMLInputElement && e.type === "file") {
      const file = e.files?.[0];
      if (!file) continue;
      files.push(file);
      fields.push({ name: e.name, value: await digestOf(file), as: "text" });
      continue;
    }
    fields.push({ name: e.name, value: e.value, as: kind(e) });
  }
  return { body: bodyOf(fields), files };
}

function kind(e: HTMLElement): Field["as"] {
  const said = e.dataset["as"];
  if (said === "number" || said === "list" || said === "yes") return said;
  if (e instanceof HTMLInputElement && e.type === "number") return "number";
  if (e instanceof HTMLInputElement && e.type === "checkbox") return "yes";
  return "text";
}
