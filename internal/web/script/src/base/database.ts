// The tablet's own database: what was done and not yet sent, its files, and drafts of readings. Nothing in it is the only copy of
// what the mill already has.

const name = "slatewright";
const version = 1;

/** The rooms of the database. */
export type Room = "acts" | "files" | "drafts";

let opened: Promise<IDBDatabase> | undefined;

/** Opens the database once; fails where the browser keeps nothing. */
export function open(): Promise<IDBDatabase> {
  opened ??= new Promise<IDBDatabase>((done, fail) => {
    const asked = indexedDB.open(name, version);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("acts", { keyPath: "id" });
      asked.result.createObjectStore("files");
      asked.result.createObjectStore("drafts");
    };
    asked.onsuccess = () => {
      asked.result.onversionchange = () => asked.result.close(); // a newer page brings its own version
      done(asked.result);
    };
    asked.onerror = () => fail(asked.error ?? new Error("the tablet's store cannot be opened"));
    asked.onblocked = () => fail(new Error("another page holds the tablet's store"));
  });
  return opened;
}

/** The answer to one question. */
export function answer<T>(asked: IDBRequest<T>): Promise<T> {
  return new Promise((done, fail) => {
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error ?? new Error("the tablet's store did not answer"));
  });
}

/** Does something in one transaction and waits until it is on the disk. */
export async function write(rooms: Room[], act: (t: IDBTransaction) => void | Promise<void>): Promise<void> {
  const t = (await open()).transaction(rooms, "readwrite", { durability: "strict" });
  const ended = new Promise<void>((done, fail) => {
    t.oncomplete = () => done();
    t.onabort = () => fail(t.error ?? new Error("the tablet's store is full"));
  });
  try {
    await act(t);
  } catch (cause) {
    t.abort();
    await ended.catch(() => undefined);
    throw cause;
  }
  await ended;
}

/** Asks one room something. */
export async function read<T>(room: Room, ask: (s: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  return answer(ask((await open()).transaction(room, "readonly").objectStore(room)));
}
