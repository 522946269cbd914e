// The verdict so far, while readings come in: asked of the mill a moment after the last number.

import { find } from "../base/page";
import { say } from "../base/words";

const moment = 350; // ms

export class Verdict {
  private timer: ReturnType<typeof setTimeout> | undefined;
  private asked: AbortController | undefined;
  enough = false;

  constructor(
    private readonly address: string | undefined,
    private readonly place: HTMLElement | null,
    private readonly changed: () => void,
  ) {}

  /** Asks again in a moment, with what is read then. */
  ask(body: () => object): void {
    if (!this.address) return;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.fetch(this.address!, body()), moment);
  }

  private async fetch(address: string, body: object): Promise<void> {
    this.asked?.abort();
    const asked = (this.asked = new AbortController());
    try {
      const answer = await fetch(address, {
        method: "POST", body: JSON.stringify(body), credentials: "same-origin", signal: asked.signal,
        headers: { "Content-Type": "application/json", Accept: "text/html", "HX-Request": "true" },
      });
      if (asked.signal.aborted) return;
      if (!answer.ok) throw new Error(String(answer.status));
      const text = await answer.text();
      if (this.place) this.place.innerHTML = text; // the mill's own words; the page's policy runs nothing in them
      this.enough = this.place !== null && find("[data-bench-enough]", this.place) !== null;
    } catch {
      if (asked.signal.aborted) return;
      this.enough = false;
      this.place?.replaceChildren(say("script.no-verdict"));
    }
    this.changed();
  }
}
