import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { test } from "node:test";
import { Numbers } from "../src/base/numbers";
import { sha256 } from "../src/base/sha256";
import { Ids } from "../src/base/ulid";

test("a digest is that of the other implementation", () => {
  let checked = 0;
  for (let n = 0; n < 260; n++) {
    const data = Uint8Array.from({ length: n }, (_, i) => (i * 37 + n) & 0xff);
    assert.equal(sha256(data), createHash("sha256").update(data).digest("hex"), `${n} bytes`);
    checked++;
  }
  assert.equal(checked, 260);
  const inside = new Uint8Array(1000).fill(7).subarray(3, 900); // a view that does not begin at 0
  assert.equal(sha256(inside), createHash("sha256").update(inside).digest("hex"));
});

test("ids are ULIDs that sort in the order in which they were made", () => {
  const times = [1_764_000_000_000, 1_764_000_000_000, 1_764_000_000_005, 1_763_000_000_000, 1_763_000_000_001];
  let k = 0;
  const ids = new Ids(() => times[Math.min(k++, times.length - 1)]!, (b) => b.fill(0xff));
  const made = Array.from({ length: 500 }, () => ids.next());
  for (const [i, id] of made.entries()) {
    assert.match(id, /^[0-7][0-9A-HJKMNP-TV-Z]{25}$/);
    if (i > 0) assert.ok(id > made[i - 1]!, `${made[i - 1]} before ${id}`);
  }
});

// The time part of the ULID in the specification's own example, 01ARYZ6S41, is 1469918176385 ms.
test("the time stands in the first ten letters", () => {
  assert.equal(new Ids(() => 1_469_918_176_385, (b) => b.fill(0)).next(), "01ARYZ6S410000000000000000");
});

test("ids sort after one that another page made", () => {
  const theirs = new Ids(() => 1_764_000_000_500, (b) => b.fill(0x7f)).next();
  const ours = new Ids(() => 1_764_000_000_000, (b) => b.fill(0));
  ours.after(theirs);
  assert.ok(ours.next() > theirs);
});

test("lengths are written by language and units", () => {
  const pt = new Numbers("pt", "mm");
  const en = new Numbers("en", "inch");
  assert.equal(pt.small(-12.4), "−12 µm");
  assert.equal(pt.plain(0.317, 3), "0,317");
  assert.equal(pt.plain(-0.0001, 2), "0,00");
  assert.equal(en.small(254), "10.0 thou");
  assert.equal(en.place(1473.2), "58.0 in");
  assert.equal(en.um(en.height(317)), 317);
});
