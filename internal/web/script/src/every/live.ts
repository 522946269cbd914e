// Live regions: what changed at the mill is fetched again and put in place of the old, with focus kept.

import htmx from "htmx.org";
import { all, find, root } from "../base/page";
import { say } from "../base/words";
import { offline } from "../queue/specimen";
import { Backoff, touches } from "./news";

const gather = 250; // ms in which changes are gathered, so that a batch is one question
const spread = 500; // ms over which the tablets of a mill spread their questions
const fresh = 4_000; // ms that a changed region is marked
const patience = 5_000; // ms until a region is looked at again in which somebody wrote

let seq = "";
let stream: EventSource | undefined;
let timer: ReturnType<typeof setTimeout> | undefined;
const backoff = new Backoff();
const touched = new Set<string>();
const heardFrom: (() => void)[] = [];

/** Hears when the mill can be reached again. */
export function onBack(hear: () => void): void {
  heardFrom.push(hear);
}

/** Listens, when the page shows anything that may change. */
export function wire(): void {
  if (!find("[data-live], [data-stale-note]")) return;
  if (!document.body.dataset["person"]) return;
  if (offline) {
    link(false);
    return;
  }
  seq = document.body.dataset["seq"] ?? "";
  listen();
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) soon();
  });
  addEventListener("pagehide", () => stream?.close());
  addEventListener("pageshow", (e) => {
    if (e.persisted) listen();
  });
}

function listen(): void {
  stream?.close();
  stream = new EventSource(seq === "" ? "/live" : `/live?after=${encodeURIComponent(seq)}`);
  stream.onopen = () => {
    backoff.reset();
    link(true);
    for (const h of heardFrom) h();
  };
  stream.onerror = () => {
    link(false);
    if (stream?.readyState !== EventSource.CLOSED) return; // it tries again by itself
    setTimeout(listen, backoff.next(Math.random()));
  };
  stream.addEventListener("changed", (e) => {
    seq = e.lastEventId || seq;
    const said = JSON.parse(String(e.data)) as { things?: string[] };
    for (const t of said.things ?? []) touched.add(t);
    soon();
  });
  stream.addEventListener("all", (e) => {
    seq = e.lastEventId || seq;
    touched.add("*");
    soon();
  });
}

let state = "";

/** The mark of the connection, and of a page that may be old. */
function link(up: boolean): void {
  const now = up ? "there" : "lost";
  if (state === now) return;
  state = now;
  root.toggleAttribute("data-stale", !up);
  const time = new Intl.DateTimeFormat(root.lang || "en", { timeStyle: "short" }).format(new Date());
  for (const e of all("[data-stale-note]")) {
    e.dataset["state"] = now;
    e.hidden = up;
    e.textContent = up ? "" : say("script.stale", { time });
  }
}

function soon(): void {
  if (touched.size === 0 || document.hidden) return;
  clearTimeout(timer);
  timer = setTimeout(refresh, gather + Math.random() * spread);
}

function refresh(): void {
  const news = new Set(touched);
  touched.clear();
  const asked = new Map<string, HTMLElement[]>();
  for (const region of all("[data-live]")) {
    if (region.id === "" || !touches(region.dataset["live"] ?? "", news)) continue;
    if (busy(region)) {
      for (const t of news) touched.add(t); // later, when nobody writes in it
      setTimeout(soon, patience);
      continue;
    }
    const from = region.dataset["liveFrom"] ?? location.pathname + location.search;
    asked.set(from, [...(asked.get(from) ?? []), region]);
  }
  for (const [from, regions] of asked) void fetchAgain(from, regions);
}

/** Somebody has begun to fill in something here, or holds a button. */
function busy(region: HTMLElement): boolean {
  if (find("[data-holding], [data-busy]", region)) return true;
  return all<HTMLInputElement>("input, textarea", region).some((f) =>
    f.type === "checkbox" || f.type === "radio" ? f.checked !== f.defaultChecked : f.type !== "hidden" && f.value !== f.defaultValue);
}

/** Fetches a page once for all its regions that changed, and puts each new one in place of the old. */
async function fetchAgain(from: string, regions: HTMLElement[]): Promise<void> {
  for (const r of regions) r.setAttribute("aria-busy", "true");
  try {
    const answer = await fetch(from, { headers: { "HX-Request": "true", "Slatewright-By-Itself": "yes", Accept: "text/html" }, credentials: "same-origin", signal: AbortSignal.timeout(20_000) });
    if (answer.ok && !answer.redirected) await put(await answer.text(), regions);
  } catch {
    // the mark of the connection says it
  } finally {
    for (const r of regions) r.removeAttribute("aria-busy");
  }
}

async function put(text: string, regions: HTMLElement[]): Promise<void> {
  const came = new DOMParser().parseFromString(text, "text/html");
  for (const region of regions) {
    const now = came.getElementById(region.id);
    if (!now || !region.isConnected || same(now, region)) continue;
    await htmx.swap({ text: now.outerHTML, target: region, swap: "outerMorph" });
    const shown = document.getElementById(region.id);
    shown?.setAttribute("data-fresh", "");
    setTimeout(() => shown?.removeAttribute("data-fresh"), fresh);
  }
}

/** A region that reads the same did not change, whatever happened at the mill. */
function same(came: HTMLElement, shown: HTMLElement): boolean {
  const words = (e: HTMLElement): string => (e.textContent ?? "").replace(/\s+/g, " ").trim();
  return words(came) === words(shown) && all("a, img, [data-state]", came).map(mark).join() === all("a, img, [data-state]", shown).map(mark).join();
}

function mark(e: HTMLElement): string {
  return (e.getAttribute("href") ?? "") + (e.getAttribute("src") ?? "") + (e.dataset["state"] ?? "");
}
