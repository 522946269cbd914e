// The answer comes without leaving the page, so that the photo stays: the first plan at once, then a better one.

import { find, make } from "../base/page";
import { say } from "../base/words";

const parts = ["#answer", "aside.caution"];

/** Answers the form in place; files are taken away as without a script. */
export function answering(form: HTMLFormElement): void {
  form.addEventListener("submit", (e) => {
    if (e.submitter?.getAttribute("name") === "as") return;
    e.preventDefault();
    void answer(form);
  });
  if (find("#answer")?.dataset["tone"] === "doubt" && !find("#answer [data-invented]")) void better(form);
}

let asked = 0; // only the newest question is answered

async function answer(form: HTMLFormElement): Promise<void> {
  if (await ask(form, new FormData(form))) {
    find("#answer")?.scrollIntoView({ block: "start" });
    await better(form);
  }
}

/** Looks for longer where a better plan may exist and nobody said how long. */
async function better(form: HTMLFormElement): Promise<void> {
  const time = find<HTMLSelectElement>("select[name=time]", form);
  const box = find("#answer");
  if (!box || box.dataset["tone"] !== "doubt" || !time || time.selectedIndex !== 0) return;
  const looking = make("p", { class: "soft mark-looking", role: "status" }, say("script.mark-looking"));
  box.prepend(looking);
  const data = new FormData(form);
  data.set("time", time.options[1]?.value ?? "");
  await ask(form, data);
  looking.remove();
}

/** Asks, and puts the answer in its place. Quietly: nobody asked, so nothing scrolls, and what is wrong leaves the last answer. */
export async function ask(form: HTMLFormElement, data: FormData, quiet = false, failed = say("script.mark-failed")): Promise<boolean> {
  const mine = ++asked;
  for (const name of [...data.keys()]) {
    const v = data.get(name);
    if (v instanceof File && v.size === 0) data.delete(name);
  }
  form.setAttribute("aria-busy", "true");
  try {
    const got = await fetch(form.action, { method: "POST", body: data, credentials: "same-origin", headers: { Accept: "text/html", ...(quiet ? { "Slatewright-By-Itself": "yes" } : {}) } });
    const page = new DOMParser().parseFromString(await got.text(), "text/html");
    if (mine !== asked || !page.querySelector("#answer")) return false;
    put(form, page, quiet, got.ok);
    return got.ok;
  } catch {
    if (mine === asked) wrong(form, make("div", { class: "told bad", role: "alert" }, make("p", {}, failed)), quiet);
    return false;
  } finally {
    if (mine === asked) form.removeAttribute("aria-busy");
  }
}

/** Puts the answer of a page, what is wrong, and what can be taken away, in place of the old ones; what is typed and drawn stays. */
function put(form: HTMLFormElement, page: Document, quiet: boolean, ok: boolean): void {
  for (const part of quiet && !ok ? [] : parts) {
    const [old, fresh] = [find(part), page.querySelector(part)];
    if (old && fresh) old.replaceWith(document.adoptNode(fresh));
  }
  const theirs = page.querySelector<HTMLFormElement>("form.lists");
  if (!theirs) return;
  const alert = theirs.previousElementSibling;
  wrong(form, alert?.getAttribute("role") === "alert" ? (document.adoptNode(alert) as HTMLElement) : null, quiet);
  if (quiet && !ok) return;
  for (const old of form.querySelectorAll("input[type=hidden]")) old.remove();
  for (const fresh of theirs.querySelectorAll("input[type=hidden]")) form.prepend(document.adoptNode(fresh));
  const [doing, fresh] = [form.querySelector(":scope > .doing"), theirs.querySelector(":scope > .doing")];
  if (doing && fresh) doing.replaceWith(document.adoptNode(fresh));
}

function wrong(form: HTMLFormElement, alert: HTMLElement | null, quiet: boolean): void {
  const old = form.previousElementSibling;
  if (old?.getAttribute("role") === "alert") old.remove();
  if (!alert) return;
  form.before(alert);
  if (!quiet) alert.scrollIntoView({ block: "center" });
}
