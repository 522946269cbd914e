// The service worker keeps the pages of the bench and the quarry with what they are made of, and opens them when there is no network.
// It answers nothing from its store while the mill answers, keeps no answer to a form, and sends nothing: the queue does, in the page.

/// <reference lib="webworker" />
declare const self: ServiceWorkerGlobalScope;
export {};

declare const BUILD: string; // which bundle this is, put here by the bundler
const files = `files ${BUILD}`; // they never change under their names
const pagesOf = (person: string): string => `pages of ${person}`;
const patience = 4_000; // ms to wait for the mill before a kept page is shown

self.addEventListener("install", () => void self.skipWaiting());
self.addEventListener("activate", (e) => e.waitUntil(self.clients.claim()));

self.addEventListener("message", (e) => {
  const said = e.data as { person?: string; keep?: string[] };
  e.waitUntil(keep(said.person ?? "", said.keep ?? []));
});

/** Keeps a page with its files. Pages of somebody else are thrown away, for a tablet is shared, and so are files of an older bundle. */
async function keep(person: string, addresses: string[]): Promise<void> {
  for (const name of await caches.keys()) {
    if (name !== files && name !== pagesOf(person)) await caches.delete(name);
  }
  if (person === "") return;
  for (const address of addresses) {
    const still = address.startsWith("/static/");
    const room = await caches.open(still ? files : pagesOf(person));
    if (still && (await room.match(address))) continue;
    const answer = await fetch(address, { credentials: "same-origin" }).catch(() => undefined);
    if (answer?.ok && !answer.redirected) await room.put(address, answer);
  }
}

self.addEventListener("fetch", (e) => {
  const address = new URL(e.request.url);
  if (e.request.method !== "GET" || address.origin !== self.location.origin) return;
  if (address.pathname.startsWith("/static/")) e.respondWith(keptFirst(e.request));
  else if (e.request.mode === "navigate") e.respondWith(millFirst(e.request));
});

/** A file that never changes comes from the store when it is there. */
async function keptFirst(asked: Request): Promise<Response> {
  return (await caches.match(asked)) ?? fetch(asked);
}

/** A page comes from the mill; when that gives no answer, from the store. */
async function millFirst(asked: Request): Promise<Response> {
  const kept = await caches.match(asked, { ignoreVary: true });
  if (!kept) return fetch(asked);
  try {
    return await fetch(asked, { signal: AbortSignal.timeout(patience) });
  } catch {
    return kept;
  }
}
