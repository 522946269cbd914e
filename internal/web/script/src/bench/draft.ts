// Drafts of readings, kept on the tablet: a page that is closed by mistake costs nothing.

import { read, write } from "../base/database";
import type { Draft } from "./walk";

export async function load(key: string): Promise<Draft | undefined> {
  return read<Draft | undefined>("drafts", (s) => s.get(key)).catch(() => undefined);
}

export async function save(key: string, draft: Draft): Promise<void> {
  await write(["drafts"], (t) => void t.objectStore("drafts").put(draft, key)).catch(() => undefined); // a browser that keeps nothing
}

export async function drop(key: string): Promise<void> {
  await write(["drafts"], (t) => void t.objectStore("drafts").delete(key)).catch(() => undefined);
}
