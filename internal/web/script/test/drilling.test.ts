import assert from "node:assert/strict";
import { test } from "node:test";
import { cell, List, type Drawn } from "../src/drilling/list";

const drawn = (...names: string[]): Drawn[] => names.map((feature) => ({ feature, says: "", x_mm: 1, y_mm: 2, diameter_mm: 3 }));

test("a number becomes a cell as it was typed, in mm or with its unit", () => {
  for (const [text, unit, to] of [["195,27", "mm", "195.27"], ["−.5", "mm", "-0.5"], ["12.", "mm", "12"], ["+7.69", "in", "7.69 in"], ["7.69 in", "mm", "7.69 in"], ["5 mm", "in", "5"],
    ["500 thou", "mm", "12.7"], ["0.10", "mm", "0.10"], ["-", "mm", null], ["", "mm", null], ["12-3", "mm", null]] as const) {
    assert.equal(cell(text, unit), to, text);
  }
});

test("numbers come into the list, and what stands beside them stays", () => {
  const l = List.read("# method: arm\nfeature,x,y,diameter,run\nb-1,,,\n\"b,2\",1,2,3,4\nb-3,,,,7\n")!;
  const all = drawn("b-1", "b,2", "b-3", "b-4");
  assert.deepEqual([l.next(all, 0), l.next(all, 1), l.wantsDiameter, l.pin], [0, 2, true, false]);
  l.set("b-1", "x", "-5.10");
  assert.ok(l.half("b-1") && l.open("b-1"));
  l.set("b-1", "y", "6");
  assert.ok(!l.open("b-1") && !l.half("b-1"));
  l.set("b-3", "diameter", "12");
  l.set("b-4", "x", "9");
  assert.equal(l.text(), "# method: arm\nfeature,x,y,diameter,run\nb-1,-5.10,6,,\n\"b,2\",1,2,3,4\nb-3,,,12,7\nb-4,9,,,\n");
  assert.equal(l.next(all, 0), 3);
  l.set("b-4", "x", "");
  assert.equal(l.next(all.slice(0, 3), 2), -1);
});

test("a gauge gets its column and its pin", () => {
  let l = List.read("feature;x;y\nB-1;1,5;2,5\n")!;
  l = l.setPin("11");
  assert.ok(l.pin);
  l.set("b-2", "gauge", "no-go");
  l.set("b-1", "x", "1.6");
  assert.equal(l.text(), "# pin: 11 mm\nfeature;x;y;gauge\nb-1;1.6;2,5;\nb-2;;;no-go\n");
  assert.ok(!l.open("b-2") && !l.wantsDiameter);
  l.set("b-2", "diameter", "");
  assert.ok(!l.wantsDiameter);
  assert.ok(List.read("feature,gauge\na,go\n")!.setPin("0.43 in").text().startsWith("# pin: 0.43 in\n"));
});

test("a list in another form is left alone", () => {
  for (const text of ["", "# method: arm\n", "what,x\n", "feature,x in,y in\na,1,2\n", '{"features": []}']) assert.equal(List.read(text), null, text);
});
