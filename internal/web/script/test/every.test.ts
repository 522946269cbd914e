import assert from "node:assert/strict";
import { test } from "node:test";
import { Burst } from "../src/every/burst";
import { Hold, names, needed } from "../src/every/hold";
import { Backoff, touches } from "../src/every/news";

function type(text: string, gap: number, enterGap = gap): string | null {
  const b = new Burst();
  let at = 1000;
  for (const key of text) assert.equal(b.key(key, (at += gap)), null);
  return b.key("Enter", at + enterGap);
}

test("a quick burst that ends with Enter is a code", () => {
  assert.equal(type("QH-1001", 8), "QH-1001");
  assert.equal(type("QH-1001", 50), "QH-1001");
  assert.equal(type("QH-1001", 51), null); // a person
  assert.equal(type("QH-1001", 8, 300), null); // somebody pressed Enter later
  assert.equal(type("abc", 8), null);
});

test("one key that a busy tablet held up does not break a code", () => {
  const b = new Burst();
  let at = 0;
  for (const key of "QH-1001") b.key(key, (at += key === "H" ? 140 : 10));
  assert.equal(b.key("Enter", at + 10), "QH-1001");
});

test("what was typed slowly before a burst is not part of it", () => {
  const b = new Burst();
  b.key("x", 0);
  let at = 500;
  for (const key of ["Shift", "Q", "H", "-", "7", "7"]) b.key(key, (at += 10));
  assert.equal(b.typed, "QH-77");
  assert.equal(b.key("Enter", at + 10), "QH-77");
  assert.equal(b.typed, "");
});

test("a decision needs the whole time, and one finger", () => {
  const h = new Hold();
  h.press(0);
  assert.equal(h.progress(needed - 1) < 1, true);
  assert.equal(h.progress(needed), 1);
  h.stop();
  assert.equal(h.progress(9_999), 0);
  h.press(0);
  h.press(100); // a second finger, or a ghost
  assert.equal(h.held, false);
  assert.equal(h.progress(5_000), 0);
});

test("a code is named by itself or by a label's address", () => {
  for (const read of ["QH-1001", " qh-1001 ", "https://mill.example/piece/QH-1001", "https://mill.example/c/QH-1001/?v=1#x"]) assert.ok(names(read, "QH-1001"), read);
  for (const read of ["", "QH-100", "QH-10011", "https://mill.example/QH-1001/x", "%E0%A4%A"]) assert.equal(names(read, "QH-1001"), false, read);
  assert.ok(names("https://mill.example/set/QH%2F7", "QH/7"));
  assert.equal(names("", ""), false);
});

test("news touch the regions that follow their things", () => {
  const news = new Set(["piece:QH-1001", "set:QH-S7"]);
  assert.ok(touches("piece:QH-1001", news));
  assert.ok(touches("piece:QH-9  set:QH-S7", news));
  assert.ok(touches("*", news));
  assert.ok(touches("set:*", news));
  assert.ok(touches("order:O-1", new Set(["*"])));
  assert.equal(touches("piece:QH-100", news), false);
  assert.equal(touches("order:*", news), false);
  assert.equal(touches("", news), false);
  assert.equal(touches("*", new Set()), false);
});

test("waits double up to the longest, and chance halves them at most", () => {
  const b = new Backoff(1_000, 8_000);
  assert.deepEqual([1, 1, 1, 1, 1].map((c) => b.next(c)), [1_000, 2_000, 4_000, 8_000, 8_000]);
  assert.equal(b.next(0), 4_000);
  b.reset();
  assert.equal(b.next(0), 500);
});
