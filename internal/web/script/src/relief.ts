// The relief of a piece or a bed: on a page of its own, with its own script.

import address from "./relief/relief.css";
import { find, forEach, make } from "./base/page";
import { style } from "./base/style";
import { say } from "./base/words";
import { isChart } from "./map/chart";
import { ReliefView } from "./relief/view";

await style(address);

forEach("[data-relief]", (figure) => void show(figure));

async function show(figure: HTMLElement): Promise<void> {
  const from = new URL(figure.dataset["relief"] ?? "", location.href);
  if (!from.searchParams.has("width")) from.searchParams.set("width", "600");
  const picture = find("[data-plain], img, svg", figure);
  try {
    const answer = await fetch(from, { headers: { Accept: "application/json" }, credentials: "same-origin" });
    const chart: unknown = answer.ok ? await answer.json() : null;
    if (!isChart(chart)) throw new Error("no chart came");
    new ReliefView(figure, chart);
    if (picture) picture.hidden = true;
  } catch {
    picture?.removeAttribute("data-plain"); // the mill's own picture stays
    figure.append(make("p", { class: "soft", role: "status" }, say("script.no-relief")));
  }
}
