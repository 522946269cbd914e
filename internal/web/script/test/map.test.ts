import assert from "node:assert/strict";
import { test } from "node:test";
import { bounds, extremesAt, heightAt, isChart, levels, readAt, type Chart, type Grid } from "../src/map/chart";
import { isProfile, profileOf, rests } from "../src/map/edge";
import { Frame } from "../src/map/frame";
import { Placer, Ruler } from "../src/map/labels";
import { areas, linesOf } from "../src/map/lines";
import { tint } from "../src/map/tints";
import { atFirst, shapeOf, steps } from "../src/relief/shape";

function grid(f: (x: number, y: number) => number | null, nx = 21, ny = 31, d = 10): Grid {
  const [x0, y0] = [-((nx - 1) * d) / 2, -((ny - 1) * d) / 2];
  const z: (number | null)[] = [];
  for (let j = 0; j < ny; j++) for (let i = 0; i < nx; i++) z.push(f(x0 + i * d, y0 + j * d));
  return { x0_mm: x0, y0_mm: y0, dx_mm: d, dy_mm: d, nx, ny, z_um: z };
}

const chart = (...grids: Grid[]): Chart => {
  const z = grids.flatMap((g) => g.z_um).filter((v): v is number => v !== null);
  return { low_um: Math.min(...z), high_um: Math.max(...z), grids };
};

test("the height between nodes is that of the surface", () => {
  const g = grid((x, y) => 2 * x - 3 * y + 5);
  for (const [x, y] of [[0, 0], [-100, -150], [100, 150], [3.3, -77.7], [99.999, 149.999]] as const) assert.ok(Math.abs(heightAt(g, x, y) - (2 * x - 3 * y + 5)) < 1e-9, `${x} ${y}`);
  for (const [x, y] of [[100.1, 0], [0, -150.1], [NaN, 0]] as const) assert.ok(Number.isNaN(heightAt(g, x, y)));
});

test("nothing is said where nothing was read", () => {
  const g = grid((x, y) => (x === 0 && y === 0 ? null : 1));
  assert.ok(Number.isNaN(heightAt(g, 4, 4)));
  assert.equal(heightAt(g, 10, 0), 1); // on the next node
  assert.equal(heightAt(g, 14, 4), 1);
});

test("a bed is read on whichever piece lies there", () => {
  const left = grid(() => 1);
  const right = { ...grid(() => 2), x0_mm: 110 };
  const c = chart(left, right);
  assert.deepEqual([readAt(c, -50, 0), readAt(c, 150, 0)], [1, 2]);
  assert.ok(Number.isNaN(readAt(c, 105, 0))); // the joint
  assert.deepEqual(bounds(c), { x0: -100, y0: -150, x1: 310, y1: 150 });
});

// The same numbers as the mill's own pictures have: multiples of 1, 2 or 5 strictly between.
test("levels are round", () => {
  assert.deepEqual(levels(0, 171, 10), [20, 40, 60, 80, 100, 120, 140, 160]);
  assert.deepEqual(levels(-0.31, 0.31, 3), [-0.2, 0, 0.2]);
  assert.deepEqual(levels(0, 1, 4), [0.2, 0.4, 0.6, 0.8]);
  assert.deepEqual(levels(5, 5, 4), []);
  assert.deepEqual(levels(0, 1, 0), []);
});

test("a contour line lies where the surface has its height", () => {
  const f = (x: number, y: number): number => x + y / 2;
  const g = grid(f);
  const [all, at] = areas(g, [30]);
  assert.equal(all!.polygons.length, 1);
  const lines = linesOf(g, at!);
  assert.equal(lines.length, 1);
  assert.ok(lines[0]!.points.length > 10);
  for (const [x, y] of lines[0]!.points) {
    assert.ok(Math.abs(f(x, y) - 30) < 1e-6, `${x} ${y}`);
    assert.ok(Math.abs(x) <= 100 + 1e-9 && Math.abs(y) <= 150 + 1e-9);
  }
});

test("a line ends where the reading ends, and closes round a hill", () => {
  const hill = grid((x, y) => 100 - Math.hypot(x, y));
  const ring = linesOf(hill, areas(hill, [50])[1]!);
  assert.equal(ring.length, 1);
  assert.deepEqual(ring[0]!.points[0], ring[0]!.points.at(-1));
  for (const [x, y] of ring[0]!.points) assert.ok(Math.abs(Math.hypot(x, y) - 50) < 1);
  const torn = grid((x, y) => (Math.abs(y) < 15 ? null : x));
  const parts = linesOf(torn, areas(torn, [5])[1]!);
  assert.equal(parts.length, 2);
  for (const p of parts) for (const [x, y] of p.points) assert.ok(Math.abs(x - 5) < 1e-6 && Math.abs(y) >= 20 - 1e-6, `${x} ${y}`);
});

test("a straightedge rests on what stands highest on both sides of its middle", () => {
  assert.deepEqual(rests([0, 50, 100], [0, -10, 0], 100), [0, 0]); // over a hollow
  assert.deepEqual(rests([0, 25, 50, 75, 100], [0, 9, 3, 9, 0], 100), [9, 9]); // on two humps
  const [a, b] = rests([0, 40, 100], [0, 10, 0], 100)!; // on one hump left of the middle: it tips to the right
  assert.ok(Math.abs(b - 0) < 1e-9 && Math.abs(a - 100 / 6) < 1e-9);
  assert.equal(rests([0, 1], [null, null], 1), null);
  assert.deepEqual(rests([0, 1], [null, 4], 1), [4, 4]);
});

test("the gap under a straightedge over a dish is the dish", () => {
  const c = chart(grid((x) => (x / 100) ** 2 * 80));
  const p = profileOf(c, { x: -100, y: 0 }, { x: 100, y: 0 }, 201);
  assert.equal(p.s_mm.at(-1), 200);
  assert.ok(Math.abs(p.largest_gap_um - 80) < 1e-9 && Math.abs(p.largest_gap_at_mm - 100) < 1e-9);
  for (const [i, e] of p.edge_um.entries()) assert.ok(e !== null && e >= p.z_um[i]! - 1e-9);
  assert.ok(p.z_um.every((z) => z !== null));
});

test("words on lines are upright, inside, and clear of each other", () => {
  const placer = new Placer({ x0: 0, y0: 0, x1: 600, y1: 400 });
  placer.block(300, 100, 30);
  const labels = [100, 108, 250].flatMap((y) => placer.along(Array.from({ length: 60 }, (_, i): [number, number] => [590 - 10 * i, y]), 30, 12));
  assert.ok(labels.length >= 2);
  for (const l of labels) {
    assert.ok(Math.abs(l.angle) <= Math.PI / 2);
    assert.ok(Math.hypot(l.x - 300, l.y - 100) > 30);
  }
  for (const [i, p] of labels.entries()) for (const q of labels.slice(0, i)) assert.ok(Math.hypot(p.x - q.x, p.y - q.y) > 30);
  assert.equal(new Placer({ x0: 0, y0: 0, x1: 600, y1: 400 }).along([[0, 50], [40, 50]], 30, 12).length, 0); // too short a line
});

test("a line without the stretch beneath its words is two lines", () => {
  const r = new Ruler([[0, 0], [10, 0], [10, 10]]);
  assert.equal(r.length, 20);
  assert.deepEqual(r.at(15), [10, 5]);
  assert.deepEqual(r.without([{ from: 8, to: 12 }]), [[[0, 0], [8, 0]], [[10, 2], [10, 10]]]);
  assert.deepEqual(r.without([]), [[[0, 0], [10, 0], [10, 10]]]);
});

test("a place on the screen is the place on the stone, y up", () => {
  const f = new Frame(chart(grid(() => 1)), 800, 600, 20);
  assert.ok(f.y(150) < f.y(-150) && f.x(-100) < f.x(100));
  const p = f.place(f.x(33), f.y(-44));
  assert.ok(Math.abs(p.x - 33) < 1e-9 && Math.abs(p.y + 44) < 1e-9);
  assert.deepEqual(f.place(-999, -999), { x: -100, y: 150 }); // kept on the stone
});

test("low is blue, high is ochre, and between them it grows lighter", () => {
  assert.deepEqual([tint(0), tint(0.5), tint(1), tint(9)], [[128, 159, 188], [250, 249, 246], [214, 166, 104], [214, 166, 104]]);
});

test("a dense scan tells what lies around a place", () => {
  const g: Grid = { ...grid(() => 1, 2, 2), least_um: [1, 2, 3, null], most_um: [11, 12, 13, null] };
  const c = { ...chart(grid(() => 1, 2, 2)), grids: [g] };
  assert.deepEqual([extremesAt(c, -5, -5), extremesAt(c, 4, -4), extremesAt(c, -5, 5)], [[1, 11], [2, 12], [3, 13]]);
  assert.deepEqual([extremesAt(c, 5, 5), extremesAt(c, 99, 0), extremesAt(chart(grid(() => 1)), 0, 0)], [null, null, null]);
});

test("what is no profile is not drawn", () => {
  const c = chart(grid(() => 1));
  assert.ok(isProfile(profileOf(c, { x: 0, y: 0 }, { x: 50, y: 0 }, 5)));
  for (const bad of [null, { detail: "no" }, { s_mm: [0, 1], z_um: [1], edge_um: [1, 2] }]) assert.equal(isProfile(bad), false);
});

test("what cannot be drawn is no chart", () => {
  const good = chart(grid(() => 1));
  assert.ok(isChart(good));
  for (const bad of [null, {}, { ...good, grids: [] }, { ...good, low_um: null }, { ...good, grids: [{ ...good.grids[0]!, nx: 3 }] }]) assert.equal(isChart(bad), false);
});

test("the relief is the surface, open where nothing was read", () => {
  const g = grid((x, y) => (x === 0 && y === 0 ? null : x), 21, 31);
  const c = chart(g);
  const s = shapeOf(c, g);
  assert.equal(s.triangles.length, 3 * 2 * (20 * 30 - 4));
  assert.ok(Math.abs(s.places[2]! - -100 / 1e6) < 1e-9 && Math.abs(s.places[0]! + 0.1) < 1e-7);
  const [p, q, r] = [0, 1, 2].map((k) => s.triangles[k]!);
  const [ax, ay, bx, by] = [s.places[3 * q!]! - s.places[3 * p!]!, s.places[3 * q! + 1]! - s.places[3 * p! + 1]!, s.places[3 * r!]! - s.places[3 * p!]!, s.places[3 * r! + 1]! - s.places[3 * p! + 1]!];
  assert.ok(ax * by - ay * bx > 0, "a triangle is seen from above");
});

test("heights are exaggerated in round steps, at first by what fits", () => {
  assert.deepEqual([steps[0], steps.at(-1), steps.includes(1000)], [1, 5000, true]);
  for (const [i, t] of steps.entries()) if (i > 0) assert.ok(t > steps[i - 1]! && Number.isInteger(t), String(t));
  assert.equal(steps[atFirst(chart(grid((x) => x + 100)))], 100); // 200 µm on 300 mm: a twelfth is 125 times as much
  assert.equal(atFirst(chart(grid((x) => 1e6 * x))), 0);
});
