// What a specimen of a page without network shows: acts that nobody did.

import { person } from "../base/page";
import type { Kept } from "./kept";

/** Whether this page shows how it looks without network. */
export const offline = document.body.dataset["specimen"] === "offline";

/** One that waits for the network, one that was refused, one that waits for somebody else. */
export function invented(): Kept[] {
  const act = (id: string, at: string, act: string, says: string, more: Partial<Kept> = {}): Kept => ({ id, at, person: person(), station: "bench", act, body: {}, says, files: [], ...more });
  return [
    act("1", "2026-11-16T07:40:00Z", "weigh", "QH-1031"),
    act("2", "2026-11-16T07:44:00Z", "mark", "QH-1035", { problem: { code: "stale", detail: "", next: "" } }),
    act("3", "2026-11-16T07:51:00Z", "read", "QH-1024", { person: "bench-1" }),
  ];
}
