// Sends what a tablet keeps, the oldest first, each act exactly once: an act leaves the store only when the mill has answered
// that it has it, and the mill knows an act that it has already by its id.

import type { Kept, Problem, Store } from "./kept";

/** What an answer said. A network that gives none throws. */
export interface Answer {
  status: number;
  body: unknown;
}

/** The way to the mill. */
export interface Way {
  putFile(digest: string, data: Blob): Promise<Answer>;
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

/** Sends all that this person did. */
export async function send(store: Store, way: Way, person: string, told: (act: Kept, fate: Fate) => void): Promise<End> {
  let most = batch;
  for (;;) {
    const waiting = (await store.acts()).filter((k) => !k.problem && k.person === person);
    if (waiting.length === 0) return "done";
    let end: End | number;
    try {
      end = await sendBatch(store, way, firstOf(waiting, most), told);
    } catch (cause) {
      if (cause instanceof StoreFault) throw cause.why;
      return "offline";
    }
    if (typeof end !== "number") return end;
    most = Math.max(1, Math.min(batch, end));
  }
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
  const refuse = async (act: Kept, problem: Problem): Promise<void> => {
    await kept(store.put({ ...act, problem }));
    told(act, { is: "refused", problem });
  };
  for (const act of acts) {
    for (const digest of act.files) {
      const data = await kept(store.file(digest));
      const answer = data ? await way.putFile(digest, data) : { status: 410, body: { code: "file-gone", detail: digest } };
      const end = early(answer.status);
      if (end) return end;
      if (answer.status >= 300) {
        await refuse(act, problemOf(answer));
        return batch; // the others go without it
      }
    }
  }
  const answer = await way.postActs(acts.map(asSent));
  const end = early(answer.status);
  if (end) return end;
  if (answer.status >= 300) {
    if (acts.length > 1) return Math.floor(acts.length / 2); // one of them is at fault: find it
    await refuse(acts[0]!, problemOf(answer));
    return 1;
  }
  const receipts = (answer.body as { receipts?: Receipt[] } | null)?.receipts;
  if (!Array.isArray(receipts) || receipts.length !== acts.length) return "busy"; // this was not the mill
  let later: End | undefined;
  for (const [i, act] of acts.entries()) {
    later = (await settle(store, act, receipts[i]!, refuse, told)) ?? later;
  }
  return later ?? batch;
}

async function settle(
  store: Store,
  act: Kept,
  receipt: Receipt,
  refuse: (act: Kept, problem: Problem) => Promise<void>,
  told: (act: Kept, fate: Fate) => void,
): Promise<End | undefined> {
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
      await refuse(act, problem);
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
  return { code: p?.code ?? `status-${a.status}`, detail: p?.detail ?? "", status: a.status, ...(p?.next ? { next: p.next } : {}) };
}
