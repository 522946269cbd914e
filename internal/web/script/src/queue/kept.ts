// What a tablet keeps until the mill has it: acts with their ids, and the files that they name.

/** Why something was refused, as the mill said it. */
export interface Problem {
  code: string;
  detail: string;
  next?: string;
  where?: string; // a field, as body.depth_mm
  status?: number;
}

/** An act that was done here. Its id is made once; sent again it is the same act. */
export interface Kept {
  id: string;
  at: string; // RFC 3339
  person: string;
  station: string;
  act: string;
  body: Record<string, unknown>;
  says: string; // what a person calls it
  files: string[]; // digests of the files that the body names
  problem?: Problem; // it was refused, and waits for a person
}

/** Where acts and files are kept. Acts come back in the order of their ids, which is the order in which they were done. */
export interface Store {
  acts(): Promise<Kept[]>;
  put(act: Kept, files?: ReadonlyMap<string, Blob>): Promise<void>;
  remove(id: string): Promise<void>; // with the files that no other act names
  file(digest: string): Promise<Blob | undefined>;
}

/** A store that lasts as long as the page: for browsers that keep nothing, and for tests. */
export class Memory implements Store {
  private readonly kept = new Map<string, Kept>();
  private readonly files = new Map<string, Blob>();

  acts(): Promise<Kept[]> {
    return Promise.resolve([...this.kept.values()].sort((a, b) => (a.id < b.id ? -1 : 1)));
  }

  put(act: Kept, files: ReadonlyMap<string, Blob> = new Map()): Promise<void> {
    this.kept.set(act.id, structuredClone(act));
    for (const [digest, data] of files) this.files.set(digest, data);
    return Promise.resolve();
  }

  remove(id: string): Promise<void> {
    this.kept.delete(id);
    const named = new Set([...this.kept.values()].flatMap((k) => k.files));
    for (const digest of this.files.keys()) if (!named.has(digest)) this.files.delete(digest);
    return Promise.resolve();
  }

  file(digest: string): Promise<Blob | undefined> {
    return Promise.resolve(this.files.get(digest));
  }
}
