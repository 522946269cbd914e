// A code reader works from any page: a quick burst of keys that ends with Enter opens what it names.

import { typesInto } from "../base/page";
import { Burst } from "./burst";

type Claim = (text: string, target: EventTarget | null) => boolean;

const claims: Claim[] = [];

/** Lets a part of the page take a burst for itself, such as a gauge that types. */
export function claim(c: Claim): void {
  claims.push(c);
}

/** Fields that want the code themselves. */
const here = "[data-scan-here]";

/** Listens on the whole page. */
export function wire(): void {
  const burst = new Burst();
  let before: { field: HTMLInputElement | HTMLTextAreaElement; value: string } | null = null;
  addEventListener("keydown", (e) => {
    if (e.isComposing || e.ctrlKey || e.altKey || e.metaKey) return;
    const field = typesInto(e.target) ? e.target : null;
    const code = burst.key(e.key, e.timeStamp);
    if (code === null) {
      if (burst.typed.length === 1) before = field ? { field, value: field.value } : null; // a burst may begin here
      return;
    }
    if (claims.some((c) => c(code, e.target))) return;
    e.preventDefault();
    e.stopImmediatePropagation();
    if (field?.matches(here)) {
      field.value = code;
      field.dispatchEvent(new Event("input", { bubbles: true }));
      field.dispatchEvent(new CustomEvent("scanned", { bubbles: true, detail: code }));
      return;
    }
    if (field && before?.field === field) {
      field.value = before.value; // the burst was not meant for this field
      field.dispatchEvent(new Event("input", { bubbles: true }));
    }
    location.assign(`/scan?code=${encodeURIComponent(code)}`);
  }, { capture: true });
}

