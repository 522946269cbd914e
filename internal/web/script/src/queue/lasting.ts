// The store that outlives the page, in the tablet's own database.

import { answer, read, write } from "../base/database";
import type { Kept, Store } from "./kept";

export class Lasting implements Store {
  acts(): Promise<Kept[]> {
    return read<Kept[]>("acts", (s) => s.getAll()); // in the order of their ids
  }

  put(act: Kept, files: ReadonlyMap<string, Blob> = new Map()): Promise<void> {
    return write(["acts", "files"], (t) => {
      for (const [digest, data] of files) t.objectStore("files").put(data, digest);
      t.objectStore("acts").put(act);
    });
  }

  remove(id: string): Promise<void> {
    return write(["acts", "files"], async (t) => {
      t.objectStore("acts").delete(id);
      const left = await answer<Kept[]>(t.objectStore("acts").getAll());
      const named = new Set(left.flatMap((k) => k.files));
      for (const digest of await answer(t.objectStore("files").getAllKeys())) {
        if (!named.has(String(digest))) t.objectStore("files").delete(digest);
      }
    });
  }

  file(digest: string): Promise<Blob | undefined> {
    return read<Blob | undefined>("files", (s) => s.get(digest));
  }
}
