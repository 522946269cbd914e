// Sends what a tablet keeps, the oldest first, each act exactly once: an act leaves the store only when the mill has answered
// that it has it, and the mill knows an act that it has already by its id.
//
// An act that was done this moment is handed in as such: the mill refuses it when it cannot be, and a slip of the keys goes no further.
// One that had to wait has happened: the mill takes it even where it does not fit, and a person resolves that.

import type { Kept, Problem, Store } from "./kept";

/** What an answer said. A network that gives none throws. */
export interface Answer {
  status: number;
  body: unknown;
}

/** The way to the mill. */
export interface Way {
  who(): Promise<Answer>; // is signed in
  putFile(digest: string, data: Blob): Promise<Answer>;
  postAct(word: string, act: object): Promise<Answer>; // done this moment
  postActs(acts: readonly object[]): Promise<Answer>;
}

/** What became of one act. */
export type Fate = { is: "sent" } | { is: "conflict" } | { is: "refused"; problem: Problem };

/** Why sending ended: all was sent; there is no network; the mill is busy or full; nobody is signed in. */
export type End = "done" | "offline" | "busy" | "signed-out";

interface Receipt {
  result: "applied" | "repeated" | "conflict" | "refused";
  problem?: Problem;
}

// A batch of the mill holds 500 acts and 1 MB; the largest act has 128 kB. A day at the quarry goes in a few.
const batch = 50;
const batchBytes = 500_000;

/** Sends all that this person did. Fresh are the ids of what was done this moment; what cannot be sent now is fresh no longer. */
export async function send(store: Store, way: Way, person: string, told: (act: Kept, fate: Fate) => void, fresh: Set<string> = new Set()): Promise<End> {
  let most = batch;
  for (;;) {
    const waiting = (await store.acts()).filter((k) => !k.problem && k.person === person);
    const first = waiting[0];
    if (!first) return "done";
    let end: End | number;
    try {
      const before = waiting.findIndex((k) => fresh.has(k.id));
      end = before === 0 ? await sendFresh(store, way, first, told) : await sendBatch(store, way, firstOf(before < 0 ? waiting : waiting.slice(0, before), most), told);
    } catch (cause) {
      if (cause instanceof StoreFault) throw cause.why;
      end = "offline";
    }
    if (typeof end !== "number") {
      fresh.clear();
      return end;
    }
    most = Math.max(1, Math.min(batch, end));
  }
}

/** Hands in an act that was done this moment. */
async function sendFresh(store: Store, way: Way, act: Kept, told: (act: Kept, fate: Fate) => void): Promise<End | number> {
  const who = await way.who(); // on a shared tablet another page may have another person signed in
  if (who.status >= 300) return early(who.status) ?? "busy";
  if ((who.body as { person?: string } | null)?.person !== act.person) return "signed-out";
  const bad = await sendFiles(store, way, act);
  const answer = bad ?? (await way.postAct(act.act, { id: act.id, at: act.at, station: act.station, body: act.body }));
  const end = early(answer.status);
  if (end) return end;
  if (answer.status >= 300) {
    await refuse(store, act, problemOf(answer), told);
    return batch;
  }
  const receipt = answer.body as Receipt | null;
  if (receipt?.result !== "applied" && receipt?.result !== "repeated" && receipt?.result !== "conflict") return "busy"; // this was not the mill
  return (await settle(store, act, receipt, told)) ?? batch;
}

/** Sends the files of an act. An answer comes back when one was not taken. */
async function sendFiles(store: Store, way: Way, act: Kept): Promise<Answer | undefined> {
  for (const digest of act.files) {
    const data = await kept(store.file(digest));
    const answer = data ? await way.putFile(digest, data) : { status: 410, body: { code: "file-gone", detail: digest } };
    if (answer.status >= 300) return answer;
  }
  return undefined;
}

async function refuse(store: Store, act: Kept, problem: Problem, told: (act: Kept, fate: Fate) => void): Promise<void> {
  await kept(store.put({ ...act, problem }));
  told(act, { is: "refused", problem });
}

/** The tablet's own store failed: that is no fault of the network. */
class StoreFault extends Error {
  constructor(readonly why: unknown) {
    super("store");
  }
}

async function kept<T>(of: Promise<T>): Promise<T> {
  try {
    return await of;
  } catch (cause) {
    throw new StoreFault(cause);
  }
}

function firstOf(waiting: Kept[], most: number): Kept[] {
  let bytes = 0;
  const first: Kept[] = [];
  for (const k of waiting.slice(0, most)) {
    bytes += JSON.stringify(k.body).length + 200;
    if (first.length > 0 && bytes > batchBytes) break;
    first.push(k);
  }
  return first;
}

/** Sends one batch with its files. The answer is how sending ended, or how many acts the next batch may have. */
async function sendBatch(store: Store, way: Way, acts: Kept[], told: (act: Kept, fate: Fate) => void): Promise<End | number> {
  for (const act of acts) {
    const bad = await sendFiles(store, way, act);
    if (!bad) continue;
    const end = early(bad.status);
    if (end) return end;
    await refuse(store, act, problemOf(bad), told);
    return batch; // the others go without it
  }
  const answer = await way.postActs(acts.map(asSent));
  const end = early(answer.status);
  if (end) return end;
  if (answer.status >= 300) {
    if (acts.length > 1) return Math.floor(acts.length / 2); // one of them is at fault: find it
    await refuse(store, acts[0]!, problemOf(answer), told);
    return 1;
  }
  const receipts = (answer.body as { receipts?: Receipt[] } | null)?.receipts;
  if (!Array.isArray(receipts) || receipts.length !== acts.length) return "busy"; // this was not the mill
  let later: End | undefined;
  for (const [i, act] of acts.entries()) {
    later = (await settle(store, act, receipts[i]!, told)) ?? later;
  }
  return later ?? batch;
}

async function settle(store: Store, act: Kept, receipt: Receipt, told: (act: Kept, fate: Fate) => void): Promise<End | undefined> {
  switch (receipt.result) {
    case "applied":
    case "repeated":
    case "conflict":
      await kept(store.remove(act.id));
      told(act, { is: receipt.result === "conflict" ? "conflict" : "sent" });
      return undefined;
    case "refused": {
      const problem = receipt.problem ?? { code: "refused", detail: "" };
      if (problem.code === "other-person") return "signed-out";
      const end = early(problem.status ?? 422);
      if (end) return end;
      await refuse(store, act, problem, told);
      return undefined;
    }
    default:
      return "busy";
  }
}

/** What an act looks like on its way. */
function asSent(k: Kept): object {
  return { id: k.id, at: k.at, person: k.person, station: k.station, act: k.act, body: k.body };
}

/** Answers after which the same is sent again later. */
function early(status: number): End | undefined {
  if (status === 401) return "signed-out";
  if (status === 408 || status === 425 || status === 429 || status >= 500) return "busy";
  return undefined;
}

function problemOf(a: Answer): Problem {
  const p = a.body as Partial<Problem> | null;
  return { code: p?.code ?? `status-${a.status}`, detail: p?.detail ?? "", status: a.status, ...(p?.next ? { next: p.next } : {}), ...(p?.where ? { where: p.where } : {}) };
}
