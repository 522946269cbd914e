import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { read, write, type List } from "../src/marking/list";
import { corners, otherDiagonal, Photo, photoOf, type Known, type Place, type Tape } from "../src/marking/photo";
import { isKnown, readPoints, writePoints } from "../src/marking/points";
import { Sketch } from "../src/marking/sketch";

const near = (a: Place | null, b: Place, within = 1e-6): boolean => a !== null && Math.hypot(a.x - b.x, a.y - b.y) <= within;

// A camera over the middle of the near edge that looks level away: u = 2000 + f·x/y and v = 1500 + f·h/y.
const seen = (p: Place): { u: number; v: number } => ({ u: 2000 + (3000 * p.x) / p.y, v: 1500 + (3000 * 1600) / p.y });
const rectangle: Place[] = [{ x: -1000, y: 2000 }, { x: 1000, y: 2000 }, { x: 1000, y: 4000 }, { x: -1000, y: 4000 }];
const known = (places: Place[]): Known[] => places.map((p, i) => ({ name: "ABCDE"[i]!, ...seen(p), ...p }));

function made(list: Known[]): Photo {
  const p = photoOf(list);
  assert.ok(p instanceof Photo, JSON.stringify(p));
  return p;
}

test("a rectangle in perspective, there and back", () => {
  const p = made(known([...rectangle, { x: 250, y: 2500 }]));
  for (const q of [{ x: -900, y: 2100 }, { x: 0, y: 3000 }, { x: 333, y: 7000 }]) {
    const { u, v } = seen(q);
    assert.ok(near(p.at(u, v), q));
    const back = p.seen(q)!;
    assert.ok(Math.abs(back.u - u) < 1e-6 && Math.abs(back.v - v) < 1e-6);
  }
  assert.equal(p.at(2000, 1499), null); // the sky
  assert.equal(p.seen({ x: 0, y: -500 }), null); // behind the camera
  assert.ok(p.doubt()! < 1e-6);
  const { u, v } = seen({ x: 0, y: 4000 });
  assert.ok(Math.abs(p.step(u, v) - (4000 * 4000) / (3000 * 1600)) < 1e-3);
});

test("the fifth point tells how far off the photo is", () => {
  assert.equal(made(known(rectangle)).doubt(), null);
  const list = known([...rectangle, { x: 0, y: 3000 }]);
  list[4]!.x += 40;
  assert.ok(Math.abs(made(list).doubt()! - 40) < 1e-6);
});

test("what no photo can be is refused by its name", () => {
  const change = (to: (k: Known[]) => void): Known[] => {
    const k = known(rectangle).map((q) => ({ ...q }));
    to(k);
    return k;
  };
  const fault = (k: Known[]): string => {
    const p = photoOf(k);
    return p instanceof Photo ? "none" : `${p.fault} ${p.points.join("")}`;
  };
  assert.equal(fault(change((k) => Object.assign(k[2]!, { x: 0, y: 2000 }))), "in-line ABC");
  assert.equal(fault(change((k) => Object.assign(k[3]!, { u: (k[0]!.u + k[1]!.u) / 2, v: (k[0]!.v + k[1]!.v) / 2 }))), "in-line ABD");
  assert.equal(fault(change((k) => { [k[1]!.x, k[1]!.y, k[2]!.x, k[2]!.y] = [k[2]!.x, k[2]!.y, k[1]!.x, k[1]!.y]; })), "order ABCD");
  assert.equal(fault(change((k) => k.forEach((q) => (q.x = -q.x)))), "mirrored ABCD");
  assert.throws(() => photoOf(known(rectangle).slice(1)));
});

// The file that the mill's own reckoning is held against as well: exact fractions made it.
test("the same photo as in the mill's reckoning", () => {
  const file = JSON.parse(readFileSync(join(process.env["SCRIPT_ROOT"] ?? ".", "testdata", "photo.json"), "utf8")) as {
    known: { Name: string; U: number; V: number; X: number; Y: number }[];
    places: { U: number; V: number; X: number; Y: number }[];
    doubt_mm: number;
    step_mm: number;
    tape: Tape;
    taped: [number, number][];
  };
  const p = made(file.known.map((k) => ({ name: k.Name, u: k.U, v: k.V, x: k.X, y: k.Y })));
  assert.ok(file.places.length > 0);
  for (const q of file.places) assert.ok(near(p.at(q.U, q.V), { x: q.X, y: q.Y }), JSON.stringify(q));
  assert.ok(Math.abs(p.doubt()! - file.doubt_mm) < 1e-6);
  assert.ok(Math.abs(p.coarsest() - file.step_mm) < 1e-6);
  corners(file.tape)!.forEach((c, i) => assert.ok(near(c, { x: file.taped[i]![0], y: file.taped[i]![1] })));
});

test("four corners by their sides", () => {
  const c = corners({ AB: 4000, BC: 3000, CD: 4000, DA: 3000, AC: 5000 })!;
  assert.ok(near(c[2], { x: 4000, y: 3000 }) && near(c[3], { x: 0, y: 3000 }));
  assert.ok(Math.abs(otherDiagonal(c) - 5000) < 1e-9);
  assert.equal(corners({ AB: 1000, BC: 1000, CD: 1500, DA: 1500, AC: 2000 }), null); // flat
  assert.equal(corners({ AB: 0, BC: 1, CD: 1, DA: 1, AC: 1 }), null);
});

const typed = `# slab: B7-5
# kerf: 5 mm
what,name,x,y,clearance,face,forbids
outline,,0,0,,,
outline,,2100,20,,,
outline,,10,1560,,,
crack,"by the ""north"", far side",1010.5,1560,15,,
crack,"by the ""north"", far side",1040,1240,,,
stain,rust,1500,700,0,top,
stain,rust,1560,700,,,
stain,rust,1540,760,,,
`;

test("a list is read and written as it stands", () => {
  const list = read(typed)!;
  assert.deepEqual(list.shapes.map((s) => [s.what, s.name, s.points.length, s.clearance, s.face]), [["outline", "", 3, "", ""], ["crack", 'by the "north", far side', 2, "15", ""], ["stain", "rust", 3, "0", "top"]]);
  assert.equal(write(list), typed);
  assert.deepEqual(read(""), { heads: [], shapes: [] });
  const other = read("What;X (mm);Y_mm\noutline;0,5;0\noutline;10 mm;0\noutline;0;9\n")!;
  assert.deepEqual(other.shapes[0]!.points, [{ x: 0.5, y: 0 }, { x: 10, y: 0 }, { x: 0, y: 9 }]);
});

test("a base line and sides become an outline", () => {
  const rim = (text: string): Place[] => [...read(text)!.shapes[0]!.points];
  assert.deepEqual(rim("what,x,y,far\noutline,0,20,20\noutline,500,0,900\noutline,1500,10,1000\n"), [{ x: 0, y: 20 }, { x: 500, y: 0 }, { x: 1500, y: 10 }, { x: 1500, y: 1000 }, { x: 500, y: 900 }]);
  const four = rim("what,name,x,y\nside,AB,2000,\nside,BC,1500,\nside,CD,2000,\nside,DA,1500,\nside,AC,2500,\n");
  assert.ok(near(four[2]!, { x: 2000, y: 1500 }));
});

test("what cannot be drawn is left alone", () => {
  for (const text of ['{"outline_mm": []}', "what,x,y\noutline,1 in,0\n", "what,x in,y in\noutline,1,0\n", "what,x,y\nhedge,1,0\n", "what,x\n", "what,x,y,colour\n", "what,x,y\noutline,a,0\n", "what,name,x,y\nside,AB,9,\n"]) {
    assert.equal(read(text), null, text);
  }
});

test("every step can be taken back, and nothing is lost on the way into the list", () => {
  const s = new Sketch();
  s.load(read(typed)!);
  const steps: string[] = [write(s.list)];
  const then = (): number => steps.push(write(s.list));
  assert.ok(!s.mayBegin("outline") && s.mayBegin("crack"));
  s.add("crack", { x: 1, y: 2 }, "crack 2");
  then();
  assert.equal(s.open!.clearance, "15"); // as the last one of its kind
  s.add("crack", { x: 3, y: 4 }, "never used");
  then();
  s.finish();
  then();
  assert.equal(s.open, null);
  s.add("hole", { x: 0, y: 0 }, "hole 1");
  then();
  s.add("hole", { x: 9, y: 0 }, "");
  then();
  assert.ok(!s.closesAt(() => true)); // two corners close nothing
  s.add("hole", { x: 9, y: 9 }, "");
  then();
  assert.ok(s.closesAt((p) => p.x === 0) && !s.closesAt(() => false));
  s.finish();
  then();
  s.move(0, 1, { x: 2222, y: 20 });
  then();
  s.keepOff(1, "20");
  then();
  s.remove(2);
  then();
  assert.match(steps.at(-1)!, /outline,,2222,20/);
  assert.match(steps.at(-1)!, /hole,hole 1,9,9/);
  assert.doesNotMatch(steps.at(-1)!, /stain/);
  for (let i = steps.length - 2; i >= 0; i--) {
    assert.ok(s.undo());
    assert.equal(write(s.list), steps[i]);
  }
  const again: List = read(steps.at(-1)!)!;
  assert.equal(write(again), steps.at(-1)!);
});

test("a shape with too few points is dropped when it ends, and another kind ends it", () => {
  const s = new Sketch();
  s.add("stain", { x: 0, y: 0 }, "stain 1");
  s.add("stain", { x: 5, y: 0 }, "");
  s.add("vein", { x: 7, y: 7 }, "vein 1");
  assert.deepEqual(s.list.shapes.map((x) => x.what), ["vein"]);
  s.finish();
  assert.equal(s.list.shapes.length, 1);
  s.undo();
  s.undo();
  assert.equal(s.list.shapes[0]!.points.length, 2);
});

test("known points are kept as far as they are known", () => {
  const text = "point,u,v,x,y\nA,639,1623,0,0\nB,4027,1767,2400,0\nE,2289,906.3,1190,810\n";
  const list = readPoints(text);
  assert.deepEqual(list.map(isKnown), [true, true, false, false, true]);
  assert.equal(writePoints(list), text);
  assert.equal(writePoints(readPoints("")), "");
});
