// Shows what is not yet sent: a count on every page, and the list where a page has one.

import { all, make, person, root } from "../base/page";
import { say } from "../base/words";
import type { Kept } from "./kept";
import { again, lastEnd, onChange, strike, waiting } from "./queue";
import { invented, offline } from "./specimen";

/** Keeps the marks of the page true. */
export function wire(): void {
  onChange(() => void show());
  void show();
}

async function show(): Promise<void> {
  const acts = offline ? invented() : await waiting();
  const refused = acts.filter((k) => k.problem).length;
  for (const e of all("[data-queue-count]")) {
    e.hidden = acts.length === 0;
    const text = say(refused > 0 ? "script.unsent-refused" : "script.unsent", { count: acts.length, refused });
    if (e.textContent !== text) e.textContent = text;
    e.dataset["tone"] = refused > 0 ? "bad" : "doubt";
  }
  root.toggleAttribute("data-unsent", acts.length > 0);
  for (const place of all("[data-queue-list]")) {
    const lines = acts.map(line);
    place.replaceChildren(...(place.matches("ol, ul") ? lines : lines.length > 0 ? [make("ol", { class: "unsent" }, ...lines)] : [make("p", { class: "soft" }, say("script.all-sent"))]));
  }
}

/** One act with what it waits for. */
function line(k: Kept): HTMLElement {
  const when = new Intl.DateTimeFormat(root.lang || "en", { dateStyle: "short", timeStyle: "short" }).format(new Date(k.at));
  const item = make("li", { "data-entry": k.id, "data-tone": k.problem ? "bad" : "doubt" },
    make("strong", {}, k.says || k.act), " ", make("time", { datetime: k.at }, when), " ", make("span", { class: "soft" }, state(k)));
  if (k.problem) {
    item.append(" ", button(say("script.send-again"), () => again(k.id)), " ", button(say("script.strike"), () => strike(k.id)));
  }
  return item;
}

function state(k: Kept): string {
  if (k.problem) return [say("script.refused"), k.problem.detail, k.problem.next].filter(Boolean).join(" · ");
  if (k.person !== person()) return say("script.waits-for", { person: k.person });
  return say(lastEnd === "signed-out" ? "script.waits-sign-in" : lastEnd === "busy" ? "script.waits-mill" : "script.waits-network");
}

function button(text: string, act: () => Promise<void>): HTMLButtonElement {
  const b = make("button", { type: "button", class: "do look" }, text);
  b.addEventListener("click", () => {
    b.disabled = true;
    void act();
  });
  return b;
}
