import assert from "node:assert/strict";
import { test } from "node:test";
import { bodyOf, fieldAt } from "../src/queue/body";
import { Memory, type Kept } from "../src/queue/kept";
import { send, type Answer, type Fate, type Way } from "../src/queue/send";

const act = (n: number, more: Partial<Kept> = {}): Kept => ({
  id: `01KB3C5V8Q3Z6J1W2Y4X7T${String(n).padStart(4, "0")}`, at: "2026-11-25T10:00:00.000Z", person: "bench-1", station: "quarry",
  act: "lift", body: { block: `B-${n}` }, says: `block ${n}`, files: [], ...more,
});

/** A mill that counts what it has. What is planned to break breaks: before anything arrived, or after it and before the answer. */
class Mill implements Way {
  readonly book: string[] = [];
  readonly files = new Map<string, number>();
  asked = 0;
  strict = 0;
  constructor(private readonly breaks: (ask: number) => "before" | "after" | number | undefined = () => undefined, private readonly refuses: Record<string, object> = {}) {}

  private answer(done: () => unknown): Promise<Answer> {
    const how = this.breaks(++this.asked);
    if (how === "before") return Promise.reject(new TypeError("no network"));
    if (typeof how === "number") return Promise.resolve({ status: how, body: null });
    const body = done();
    return how === "after" ? Promise.reject(new TypeError("the answer was lost")) : Promise.resolve({ status: 200, body });
  }

  putFile(digest: string): Promise<Answer> {
    return this.answer(() => void this.files.set(digest, (this.files.get(digest) ?? 0) + 1));
  }

  signedIn = "bench-1";
  who(): Promise<Answer> {
    return Promise.resolve({ status: this.signedIn ? 200 : 401, body: { person: this.signedIn } });
  }

  postAct(word: string, act: object): Promise<Answer> {
    const a = act as Kept;
    assert.deepEqual(Object.keys(a).sort(), ["at", "body", "id", "station"]);
    assert.equal(word, "lift");
    const problem = this.refuses[a.id];
    if (problem) return Promise.resolve({ status: 404, body: problem });
    return this.answer(() => {
      this.strict++;
      const repeated = this.book.includes(a.id);
      if (!repeated) this.book.push(a.id);
      return { result: repeated ? "repeated" : "applied" };
    });
  }

  postActs(acts: readonly object[]): Promise<Answer> {
    return this.answer(() => ({
      receipts: (acts as Kept[]).map((a) => {
        assert.deepEqual(Object.keys(a).sort(), ["act", "at", "body", "id", "person", "station"]); // the mill refuses a field it does not know
        for (const f of a.body["blob"] ? [String(a.body["blob"])] : []) assert.ok(this.files.has(f), "an act came before its file");
        const problem = this.refuses[a.id];
        if (problem) return { result: "refused", problem };
        if (this.book.includes(a.id)) return { result: "repeated", repeated: true };
        this.book.push(a.id);
        return { result: a.body["late"] ? "conflict" : "applied" };
      }),
    }));
  }
}

async function filled(n: number, more: (i: number) => Partial<Kept> = () => ({})): Promise<Memory> {
  const store = new Memory();
  for (let i = n; i >= 1; i--) await store.put(act(i, more(i)), new Map((more(i).files ?? []).map((d) => [d, new Blob(["x"])])));
  return store;
}

const nobody = (): void => undefined;

test("each act is in the book exactly once and in order, wherever the network breaks", async () => {
  const kinds = ["before", "after", 503, 429, 500] as const;
  let runs = 0;
  for (const kind of kinds) {
    for (let at = 1; at <= 9; at++) {
      const store = await filled(130, (i) => (i % 40 === 0 ? { files: [`digest-${i}`], body: { blob: `digest-${i}` } } : {}));
      const mill = new Mill((ask) => (ask === at || ask === at + 1 ? kind : undefined));
      for (let tries = 0; (await send(store, mill, "bench-1", nobody)) !== "done"; tries++) assert.ok(tries < 10);
      assert.equal(mill.book.length, 130, `${kind} at ${at}`);
      assert.deepEqual(mill.book, [...mill.book].sort());
      assert.equal((await store.acts()).length, 0);
      runs++;
    }
  }
  assert.equal(runs, 45);
});

test("what is refused stays with its reason and does not stop the others", async () => {
  const store = await filled(5);
  const problem = { code: "no-such-thing", detail: "the book has no layer L-9", next: "take it in first", status: 404 };
  const fates: [string, Fate["is"]][] = [];
  const mill = new Mill(undefined, { [act(2).id]: problem });
  assert.equal(await send(store, mill, "bench-1", (k, f) => fates.push([k.id, f.is])), "done");
  assert.deepEqual((await store.acts()).map((k) => [k.id, k.problem]), [[act(2).id, problem]]);
  assert.equal(mill.book.length, 4);
  assert.equal(fates.filter(([, is]) => is === "refused").length, 1);
  const asked = mill.asked;
  assert.equal(await send(store, mill, "bench-1", nobody), "done"); // a refused one waits for a person
  assert.equal(mill.asked, asked);
});

test("a conflict is in the book: the tablet forgets it", async () => {
  const store = await filled(1, () => ({ body: { late: true } }));
  const fates: string[] = [];
  await send(store, new Mill(), "bench-1", (_, f) => fates.push(f.is));
  assert.deepEqual(fates, ["conflict"]);
  assert.equal((await store.acts()).length, 0);
});

test("acts of another person wait for that person", async () => {
  const store = await filled(4, (i) => (i % 2 ? { person: "saw-1" } : {}));
  const mill = new Mill();
  assert.equal(await send(store, mill, "bench-1", nobody), "done");
  assert.deepEqual((await store.acts()).map((k) => k.person), ["saw-1", "saw-1"]);
  const other = new Mill(undefined, { [act(1).id]: { code: "other-person", status: 403 } });
  assert.equal(await send(store, other, "saw-1", nobody), "signed-out"); // somebody else has signed in meanwhile
  assert.deepEqual((await store.acts()).map((k) => [k.id, k.problem]), [[act(1).id, undefined]]);
});

test("without a session, or on a busy mill, all waits", async () => {
  for (const [status, end] of [[401, "signed-out"], [503, "busy"], [507, "busy"]] as const) {
    const store = await filled(2);
    assert.equal(await send(store, new Mill(() => status), "bench-1", nobody), end);
    assert.equal((await store.acts()).filter((k) => !k.problem).length, 2);
  }
});

test("one act that the mill cannot read does not hold up the rest", async () => {
  const store = await filled(9);
  const mill = new Mill();
  const post = mill.postActs.bind(mill);
  mill.postActs = (acts) => ((acts as Kept[]).some((a) => a.id === act(6).id) ? Promise.resolve({ status: 400, body: { code: "bad-json", detail: "?" } }) : post(acts));
  assert.equal(await send(store, mill, "bench-1", nobody), "done");
  assert.equal(mill.book.length, 8);
  assert.deepEqual((await store.acts()).map((k) => k.problem?.code), ["bad-json"]);
});

test("a page that is not the mill's answer is no receipt", async () => {
  const store = await filled(1);
  const portal: Way = { who: () => Promise.resolve({ status: 200, body: { person: "bench-1" } }), putFile: () => Promise.reject(new Error()), postAct: () => Promise.resolve({ status: 200, body: null }), postActs: () => Promise.resolve({ status: 200, body: null }) };
  assert.equal(await send(store, portal, "bench-1", nobody), "busy");
  assert.equal(await send(store, portal, "bench-1", nobody, new Set([act(1).id])), "busy");
  assert.equal((await store.acts()).length, 1);
});

test("what was done this moment is handed in as such, after what waited before it", async () => {
  const store = await filled(4);
  const mill = new Mill();
  assert.equal(await send(store, mill, "bench-1", nobody, new Set([act(3).id, act(4).id])), "done");
  assert.deepEqual(mill.book, [1, 2, 3, 4].map((n) => act(n).id));
  assert.equal(mill.strict, 2);
});

test("an act of this moment is never another person's", async () => {
  for (const who of ["saw-1", ""]) {
    const store = await filled(1);
    const mill = new Mill();
    mill.signedIn = who;
    assert.equal(await send(store, mill, "bench-1", nobody, new Set([act(1).id])), "signed-out");
    assert.deepEqual([mill.book, (await store.acts()).length], [[], 1]);
  }
});

test("an act whose answer was lost waits, and goes as one that happened", async () => {
  const store = await filled(1);
  const fresh = new Set([act(1).id]);
  const mill = new Mill((ask) => (ask === 1 ? "after" : undefined));
  assert.equal(await send(store, mill, "bench-1", nobody, fresh), "offline");
  assert.equal(fresh.size, 0);
  assert.equal(await send(store, mill, "bench-1", nobody, fresh), "done");
  assert.deepEqual([mill.book, mill.strict], [[act(1).id], 1]);
});

test("an act of this moment that cannot be is refused, with the reason", async () => {
  const store = await filled(1);
  const fates: Fate[] = [];
  const problem = { code: "no-such-thing", detail: "no layer L-9", next: "look at the number" };
  await send(store, new Mill(undefined, { [act(1).id]: problem }), "bench-1", (_, f) => fates.push(f), new Set([act(1).id]));
  assert.deepEqual(fates, [{ is: "refused", problem: { ...problem, status: 404 } }]);
});

test("a file goes when the last act that names it has gone", async () => {
  const store = new Memory();
  const file = new Map([["d", new Blob(["x"])]]);
  await store.put(act(1, { files: ["d"] }), file);
  await store.put(act(2, { files: ["d"] }), file);
  await store.remove(act(1).id);
  assert.ok(await store.file("d"));
  await store.remove(act(2).id);
  assert.equal(await store.file("d"), undefined);
});

test("fields become the body of an act", () => {
  const body = bodyOf([
    { name: "block", value: " B-7 ", as: "text" },
    { name: "stone.length_mm", value: "3000,5", as: "number" },
    { name: "stone.width_mm", value: "", as: "number" },
    { name: "slabs.2.id", value: "S-2", as: "text" },
    { name: "slabs.0.id", value: "S-0", as: "text" },
    { name: "instruments", value: "DIAL-2, , DIAL-3", as: "list" },
    { name: "last", value: "on", as: "yes" },
    { name: "_entry", value: "01KB", as: "text" },
    { name: "__proto__.polluted", value: "yes", as: "text" },
    { name: "depth_mm", value: "deep", as: "number" },
    { name: "steps_mm", value: "0.02, 0.03", as: "list" },
    { name: "instrument.calibrated_at", value: "2026-11-02", as: "day" },
    { name: "stone.thickness_mm", value: "1.25", as: "number", unit: "in" },
    { name: "u_mm", value: "0,5", as: "number", unit: "thou" },
    { name: "x_mm", value: "1", as: "number", unit: "ell" },
    { name: "wet", value: "no", as: "yes" },
  ]);
  assert.deepEqual(body, {
    block: "B-7", stone: { length_mm: 3000.5, thickness_mm: 31.75 }, slabs: [{ id: "S-0" }, { id: "S-2" }], instruments: ["DIAL-2", "DIAL-3"], last: true, depth_mm: "deep",
    steps_mm: [0.02, 0.03], instrument: { calibrated_at: "2026-11-02T00:00:00Z" }, u_mm: 0.0127, x_mm: "1", wet: false,
  });
  assert.equal(({} as Record<string, unknown>)["polluted"], undefined);
});

test("what the mill finds wrong is shown at its field", () => {
  const cases: [string | undefined, string][] = [
    ["body.mass_kg", "mass_kg"], ["entries[0].body.pieces[12].stone.length_mm", "pieces.12.stone.length_mm"], ["thing", "thing"], ["", ""], [undefined, ""],
  ];
  for (const [where, want] of cases) assert.equal(fieldAt(where), want, where);
});
