// The queue of this tablet: what is kept is sent as soon as there is a way to the mill.

import { Ids } from "../base/ulid";
import { sha256 } from "../base/sha256";
import { person } from "../base/page";
import { Memory, type Kept, type Store } from "./kept";
import { Lasting } from "./lasting";
import { send, type Answer, type End, type Fate, type Way } from "./send";

const ids = new Ids();
const firstWait = 2_000; // ms until the second try
const longestWait = 60_000;
const api = "/api/v1";

/** The network as the browser has it. */
const net: Way = {
  who: () => ask(`${api}/session`, "GET"),
  putFile: (digest, data) => ask(`${api}/blobs/${digest}`, "PUT", "application/octet-stream", data),
  postAct: (word, act) => ask(`${api}/acts/${encodeURIComponent(word)}`, "POST", "application/json", JSON.stringify(act)),
  postActs: (entries) => ask(`${api}/entries`, "POST", "application/json", JSON.stringify({ entries })),
};

async function ask(address: string, method: string, type = "", body: BodyInit | null = null): Promise<Answer> {
  const headers: Record<string, string> = { Accept: "application/json", "Accept-Language": document.documentElement.lang || "en", ...(type ? { "Content-Type": type } : {}) };
  const answer = await fetch(address, { method, body, headers, credentials: "same-origin", signal: AbortSignal.timeout(60_000) });
  return { status: answer.status, body: await answer.json().catch(() => null) };
}

let store: Promise<Store> | undefined;
let sending: Promise<End> | undefined;
let timer: ReturnType<typeof setTimeout> | undefined;
let wait = firstWait;
const listeners = new Set<() => void>();
const fates = new Map<string, (fate: Fate | { is: "kept" }) => void>();
const fresh = new Set<string>(); // what was done this moment
const others = typeof BroadcastChannel === "undefined" ? undefined : new BroadcastChannel("slatewright-kept");

/** How the last sending ended. */
export let lastEnd: End = "done";

function rooms(): Promise<Store> {
  store ??= (async () => {
    const lasting = new Lasting();
    try {
      await lasting.acts();
      return lasting;
    } catch {
      return new Memory(); // this browser keeps nothing
    }
  })();
  return store;
}

/** What is not yet sent, refused ones with their reason. */
export async function waiting(): Promise<Kept[]> {
  return (await rooms()).acts();
}

/** Whether what is kept outlives this page. */
export async function lasts(): Promise<boolean> {
  return (await rooms()) instanceof Lasting;
}

/** Hears of every change. */
export function onChange(hear: () => void): void {
  listeners.add(hear);
}

/** An act as it is done: the rest is added here. */
export type Done = Pick<Kept, "station" | "act" | "body" | "says"> & { files?: Blob[] };

/** The digest by which a file is named. */
export async function digestOf(data: Blob): Promise<string> {
  return sha256(new Uint8Array(await data.arrayBuffer()));
}

/** Keeps an act, then sends it. What becomes of it is told as soon as it is known: "kept" when the mill cannot be reached now, and
 * more when it can. */
export async function keep(done: Done, at: Date, told: (fate: Fate | { is: "kept" }, id: string) => void): Promise<void> {
  const s = await rooms();
  for (const k of (await s.acts()).slice(-1)) ids.after(k.id);
  const files = new Map<string, Blob>();
  for (const f of done.files ?? []) files.set(await digestOf(f), f);
  const act: Kept = {
    id: ids.next(), at: at.toISOString(), person: person(),
    station: done.station, act: done.act, body: done.body, says: done.says, files: [...files.keys()],
  };
  await s.put(act, files);
  fresh.add(act.id);
  let decided = false;
  fates.set(act.id, (fate) => {
    decided = fate.is !== "kept";
    told(fate, act.id);
  });
  changed();
  await sendNow();
  if (!decided && lastEnd === "done") await sendNow(); // it came while another sending was ending
  if (!decided) told({ is: "kept" }, act.id);
}

/** Sends a refused act once more, with its id. */
export async function again(id: string): Promise<void> {
  const s = await rooms();
  const act = (await s.acts()).find((k) => k.id === id);
  if (!act) return;
  const { problem: _, ...rest } = act;
  await s.put(rest);
  await sendNow();
}

/** Strikes an act: it will never be sent. */
export async function strike(id: string): Promise<void> {
  await (await rooms()).remove(id);
  changed();
}

/** Sends now, unless it is being sent already. */
export function sendNow(): Promise<End> {
  sending ??= alone(async () => {
    try {
      return person() === "" ? "signed-out" : await send(await rooms(), net, person(), tell, fresh);
    } finally {
      sending = undefined;
    }
  }).catch((): End => "busy").then(plan);
  return sending;
}

/** One page of a tablet sends at a time, where browsers can agree on it; two that do not agree do no harm. */
function alone(act: () => Promise<End>): Promise<End> {
  return "locks" in navigator ? navigator.locks.request("slatewright-send", act) : act();
}

/** Tells the page on which an act was done what became of it, whichever page of this tablet sent it. */
function tell(act: Kept, fate: Fate): void {
  decided(act.id, fate);
  others?.postMessage({ id: act.id, fate });
  changed();
}

function decided(id: string, fate: Fate): void {
  fates.get(id)?.(fate);
  fates.delete(id);
}

function changed(): void {
  others?.postMessage("changed");
  hear();
}

function hear(): void {
  for (const h of listeners) h();
}

/** Plans the next try: soon at first, then less often, never at the same moment on all tablets. */
function plan(end: End): End {
  lastEnd = end;
  clearTimeout(timer);
  if (end === "done" || end === "signed-out") {
    wait = firstWait;
  } else {
    timer = setTimeout(() => void sendNow(), wait * (0.75 + Math.random() / 2));
    wait = Math.min(longestWait, wait * 2);
  }
  hear();
  return end;
}

/** Begins to send what an earlier page left, and again whenever the network is back. */
export function start(): void {
  others?.addEventListener("message", (e: MessageEvent<{ id: string; fate: Fate } | "changed">) => {
    if (e.data === "changed") hear();
    else decided(e.data.id, e.data.fate);
  });
  addEventListener("online", () => void sendNow());
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) void sendNow();
  });
  void navigator.storage?.persist?.().catch(() => false);
  void sendNow();
}
