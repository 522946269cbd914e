// The service worker: opens pages that were kept when there is no network. Where the browser allows none, an open page does all the
// same work.

import { all, person } from "../base/page";

/** Registers the worker and hands it what this page needs, when the page asks to be kept. */
export async function wire(): Promise<void> {
  if (!("serviceWorker" in navigator) || !isSecureContext) return;
  try {
    await navigator.serviceWorker.register("/sw.js", { scope: "/" });
    const worker = (await navigator.serviceWorker.ready).active;
    const keep = document.body.hasAttribute("data-keep") ? [location.pathname + location.search, ...files()] : [];
    worker?.postMessage({ person: person(), keep });
  } catch {
    // an untrusted certificate: no worker
  }
}

/** The files that this page was made of. */
function files(): string[] {
  const loaded = performance.getEntriesByType("resource").map((r) => r.name);
  const named = all<HTMLLinkElement>("link[rel=stylesheet], link[rel=icon], link[rel=manifest]").map((l) => l.href);
  return [...new Set([...loaded, ...named])]
    .map((address) => new URL(address, location.href))
    .filter((u) => u.origin === location.origin && u.pathname.startsWith("/static/"))
    .map((u) => u.pathname);
}
