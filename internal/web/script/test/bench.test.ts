import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { mm, readAct, readingsFile, soFar } from "../src/bench/file";
import { asGauge, readPlan, type Plan } from "../src/bench/plan";
import { readNumber, Typed } from "../src/bench/typed";
import { Walk } from "../src/bench/walk";

const plan = (more: Partial<Plan> = {}): Plan => ({
  piece: "QH-1001", place: "head", face: "top", size_mm: [914, 1473],
  points: [{ x_mm: -437, y_mm: -716.5 }, { x_mm: 437, y_mm: -716.5 }, { x_mm: 0, y_mm: 0 }, { x_mm: 447, y_mm: 716.5, row: "joint+" }],
  gauge: { instrument: "DIAL-2", says: "dial 0.001 mm", unit: "µm", range_mm: [-2, 2], jump_mm: 0.25, u_mm: 0.004 },
  bench: "B-1", support: "lines 0.22", header: [["dry_since", "2026-09-01"]], ...more,
});

test("numbers of gauges are read as they are sent", () => {
  const cases: [string, number | null][] = [
    ["12", 0.012], ["-12.5", -0.0125], ["+00,5", 0.0005], ["−3", -0.003], [".5 mm", 0.5], ["0.01in", 0.254], ["10 thou", 0.254], ["7µm", 0.007], ["-0.012 MM", -0.012],
    ["", null], ["-", null], [".", null], ["1e3", null], ["QH-1", null], ["1.2.3", null], ["12 kg", null],
  ];
  for (const [text, want] of cases) {
    const got = readNumber(text, "µm");
    if (want === null) assert.equal(got, null, text);
    else assert.ok(got !== null && Math.abs(got.mm - want) < 1e-12, `${text}: ${got?.mm}`);
  }
  assert.ok(Math.abs(asGauge(0.254, "thou") - 10) < 1e-12);
});

test("keys make a number", () => {
  const t = new Typed();
  const text = (): string => t.text;
  for (const key of ["m", "-", "1", "2", "Backspace", "3", ",", "5", ".", "F8", "±"]) t.key(key);
  assert.equal(text(), "13,5");
  t.clear();
  for (const key of "-1-2") t.key(key);
  assert.equal(text(), "-12");
  for (const key of "99999999999999999") t.key(key);
  assert.equal(text().length, 16);
  t.clear();
  for (const key of "0.012 mm") t.key(key);
  assert.deepEqual(readNumber(text(), "µm"), { mm: 0.012, decimals: 3, unit: "mm" }); // a gauge may say its unit
  assert.equal(t.key("F8"), false);
});

test("a number out of range or far off its neighbour is doubted", () => {
  const w = new Walk(plan());
  const doubt = (mm: number): string | undefined => w.doubt({ mm, decimals: 0 })?.is;
  assert.equal(doubt(2.001), "range");
  assert.equal(doubt(1.9), undefined); // the first has no neighbour
  w.take(0.1);
  assert.equal(doubt(0.3499), undefined);
  assert.equal(doubt(-0.16), "jump");
  w.take(0.0);
  w.go(0);
  assert.equal(doubt(0.26), "jump"); // its old number is gone, its neighbour's counts
});

test("a number finer than the gauge shows is perhaps in another unit", () => {
  const p = plan();
  const w = new Walk({ ...p, gauge: { ...p.gauge, decimals: 0 } });
  assert.equal(w.doubt({ mm: 0.000012, decimals: 3 })?.is, "unit"); // 0.012 from a gauge of whole µm
  assert.equal(w.doubt({ mm: 0.012, decimals: 3, unit: "mm" }), null);
  assert.equal(w.doubt({ mm: 0.012, decimals: 0 }), null);
});

test("undo takes back one after the other, skipped ones too", () => {
  const w = new Walk(plan());
  w.take(0.1);
  w.skip();
  w.take(0.2);
  assert.deepEqual(w.values, [0.1, null, 0.2, null]);
  assert.equal(w.at, 3);
  assert.deepEqual([2, 1, 0].map(() => (w.undo(), w.at)), [2, 1, 0]);
  assert.equal(w.undo(), false);
  assert.deepEqual(w.values, [null, null, null, null]);
});

test("after the last the walk comes back to what is missing, and ends", () => {
  const w = new Walk(plan({ whole: true }));
  w.take(0);
  w.skip();
  w.take(0);
  w.take(0);
  assert.equal(w.ended, false); // all must be read
  assert.equal(w.at, 1);
  assert.equal(w.mayEnd(true), false);
  w.take(0.1);
  assert.ok(w.ended && w.mayEnd(false));
  const loose = new Walk(plan());
  for (let i = 0; i < 4; i++) loose.skip();
  assert.ok(loose.ended);
  assert.equal(loose.mayEnd(true), false); // nothing was read
  const early = new Walk(plan());
  early.take(0);
  assert.deepEqual([early.mayEnd(false), early.mayEnd(true)], [false, true]);
});

test("a draft goes on where it ended, and only on its own plan", () => {
  const w = new Walk(plan());
  w.take(0.1);
  w.skip();
  const next = new Walk(plan());
  assert.ok(next.resume(structuredClone(w.draft())));
  assert.deepEqual([next.at, next.values, next.latest().map((l) => l.index)], [2, w.values, [1, 0]]);
  assert.equal(new Walk(plan({ face: "bottom" })).resume(w.draft()), false);
  assert.equal(new Walk(plan()).resume(undefined), false);
});

// The golden file is read by the mill's own reader in script_test.go.
test("the file is the one that the mill reads", () => {
  const text = readingsFile(plan(), [0.012, -0.0125, null, 1e-7], { top_c: 20.1, bottom_c: 20.3 }, "2026-11-25");
  assert.equal(text, readFileSync(join(process.env["SCRIPT_ROOT"] ?? ".", "testdata", "readings.csv"), "utf8"));
  const broken = readingsFile(plan({ support: "bench\n1,2,3" }), [0, 0, 0, 0], {}, "2026-11-25");
  assert.ok(broken.includes("# support: bench 1,2,3\n"));
  assert.deepEqual([mm(-1e-9), mm(0.1 + 0.2), mm(-437), mm(1e-6)], ["0", "0.3", "-437", "0.000001"]);
});

test("the act names the file", () => {
  assert.deepEqual(readAct(plan(), "d".repeat(64), { top_c: 20.1, wet: true }), {
    thing: "piece:QH-1001", what: "top", instruments: ["DIAL-2"], bench: "B-1", support: "lines 0.22", top_c: 20.1, wet: true, blob: "d".repeat(64),
  });
  assert.deepEqual(soFar(plan(), [0.1, null, null, 0.2]), {
    piece: "QH-1001", face: "top", left: 2,
    points: [{ x_mm: -437, y_mm: -716.5, z_mm: 0.1, row: "" }, { x_mm: 447, y_mm: 716.5, z_mm: 0.2, row: "joint+" }],
  });
});

test("a page without a plan says so", () => {
  for (const text of ["{}", '{"piece":"A","points":[]}', JSON.stringify({ ...plan(), gauge: { instrument: "X", unit: "ell" } })]) assert.throws(() => readPlan(text));
  assert.equal(readPlan(JSON.stringify(plan())).piece, "QH-1001");
});
