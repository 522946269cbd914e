// Forms that record an act and work without network: the act is kept on the tablet, then sent.

import { all, find, forEach, numbers } from "../base/page";
import { say } from "../base/words";
import { bodyOf, fieldAt, type Field } from "./body";
import { digestOf, keep, lasts, strike } from "./queue";
import type { Problem } from "./kept";
import type { Fate } from "./send";

/** What each form handed in that has to wait: somebody may be filling in the next one when it is sent. */
const waits = new WeakMap<HTMLFormElement, Set<string>>();

/** Takes over the forms of the page that ask for it. */
export function wire(): void {
  forEach("form[data-queue]", (e) => {
    const form = e as HTMLFormElement;
    if (!canWait(form)) return;
    form.addEventListener("submit", (s) => {
      s.preventDefault();
      void submit(form);
    });
  });
}

/** Whether a form may wait on a tablet. One with a passphrase never does; neither does one with lengths in a unit that it does not
 * name. They go to the mill as they are. */
function canWait(form: HTMLFormElement): boolean {
  if (find("input[type=password]", form)) return false;
  return numbers.units === "mm" || all<HTMLInputElement>("input[name$=_mm]", form).every((f) => f.dataset["unit"]);
}

async function submit(form: HTMLFormElement): Promise<void> {
  if (form.hasAttribute("data-busy")) return; // a second tap of a wet finger
  form.setAttribute("data-busy", "");
  try {
    const { body, files } = await filled(form);
    const says = form.dataset["queueSays"] ?? find("button", form)?.textContent?.trim() ?? "";
    const done = { station: form.dataset["station"] ?? "", act: form.dataset["queue"] ?? "", body, says, files };
    answer(form, say((await lasts()) ? "script.kept" : "script.kept-in-page"), "kept");
    await keep(done, when(form), (fate, id) => told(form, fate, id));
  } catch {
    answer(form, say("script.store-full"), "bad");
  } finally {
    form.removeAttribute("data-busy");
  }
}

/** When it was done, if the form says so; now without it. */
function when(form: HTMLFormElement): Date {
  const said = find<HTMLInputElement>('[name="_at"]', form)?.value ?? "";
  const at = new Date(said);
  return said === "" || Number.isNaN(at.getTime()) ? new Date() : at;
}

/** The page that comes next, told what was done: it says so, as it does without scripts. */
function saying(path: string, act: string): string {
  if (act === "" || /[?&]did=/.test(path)) return path;
  return `${path}${path.includes("?") ? "&" : "?"}did=${encodeURIComponent(act)}`;
}

/** Says what became of it. What was refused before it ever waited stays in the form, where it can be put right. */
function told(form: HTMLFormElement, fate: Fate | { is: "kept" }, id: string): void {
  const waiting = waits.get(form) ?? new Set<string>();
  const waited = fate.is === "kept" ? waiting.has(id) : waiting.delete(id);
  switch (fate.is) {
    case "sent": {
      answer(form, say("script.sent"), "good");
      if (waited) return;
      form.reset();
      const after = find<HTMLInputElement>('[name="_after"]', form)?.value || form.dataset["after"];
      if (after?.startsWith("/") && !after.startsWith("//")) location.assign(saying(after, form.dataset["queue"] ?? ""));
      return;
    }
    case "conflict":
      answer(form, say("script.conflict"), "doubt");
      if (!waited) form.reset();
      return;
    case "refused":
      answer(form, [say("script.refused"), ...reasons(form, fate.problem)].filter(Boolean).join(" · "), "bad");
      if (!waited) void strike(id);
      return;
    case "kept":
      answer(form, say("script.waits-here"), "kept");
      waits.set(form, waiting.add(id));
      form.reset();
  }
}

/** Why it was refused, with the label of the field, and what to do: where to look a field up is for those who write programs. */
function reasons(form: HTMLFormElement, p: Problem): string[] {
  const field = form.elements.namedItem(fieldAt(p.where));
  const label = field instanceof HTMLElement && "labels" in field ? (field.labels as NodeListOf<HTMLLabelElement>)[0]?.firstChild?.textContent?.trim() : "";
  return [label ? `${label}: ${p.detail}` : p.detail, p.code === "not-valid" ? "" : (p.next ?? "")];
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
    if (e instanceof HTMLInputElement && e.type === "radio" && !e.checked) continue;
    if (e instanceof HTMLInputElement && e.type === "file") {
      const file = e.files?.[0];
      if (!file) continue;
      files.push(file);
      fields.push({ name: e.name, value: await digestOf(file), as: "text" });
      continue;
    }
    const as = kind(e);
    if (e instanceof HTMLInputElement && e.type === "checkbox" && !e.checked) {
      if (!/\.\d+\./.test(e.name)) fields.push({ name: e.name, value: "no", as: "yes" }); // a row of a list may be empty
      continue;
    }
    fields.push({ name: e.name, value: e.name === "thing" ? ofKind(form, e.value) : e.value, as, ...(e.dataset["unit"] ? { unit: e.dataset["unit"] } : {}) });
  }
  return { body: bodyOf(fields), files };
}

/** The number of a thing with the kind that is chosen beside it, where it names none. */
function ofKind(form: HTMLFormElement, number: string): string {
  const kind = find<HTMLSelectElement>('select[name="_kind"]', form)?.value ?? "";
  return number.trim() === "" || kind === "" || number.includes(":") ? number : `${kind}:${number.trim()}`;
}

function kind(e: HTMLElement): Field["as"] {
  const said = e.dataset["as"];
  if (said === "number" || said === "list" || said === "yes" || said === "day") return said;
  if (!(e instanceof HTMLInputElement)) return "text";
  return ({ number: "number", checkbox: "yes", date: "day" } as const)[e.type as "number" | "checkbox" | "date"] ?? "text";
}
