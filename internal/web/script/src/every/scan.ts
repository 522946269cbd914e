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

/** The field of a page that wants every code, wherever the focus is, and sends its form with each. */
const sends = "[data-scan-sends]";

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
    const own = field?.matches(here) ? field : document.querySelector<HTMLInputElement>(sends);
    if (field && field !== own && before?.field === field) {
      field.value = before.value; // the burst was not meant for this field
      field.dispatchEvent(new Event("input", { bubbles: true }));
    }
    if (own) {
      own.value = code;
      own.dispatchEvent(new Event("input", { bubbles: true }));
      own.dispatchEvent(new CustomEvent("scanned", { bubbles: true, detail: code }));
      if (own.matches(sends)) own.form?.requestSubmit();
      return;
    }
    location.assign(`/scan?code=${encodeURIComponent(code)}`);
  }, { capture: true });
}

