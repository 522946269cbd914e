// The face map of a piece, and the map of a bed.

import plotStyle from "uplot/dist/uPlot.min.css";
import mapStyle from "./map/map.css";
import { find, forEach, make } from "./base/page";
import { style } from "./base/style";
import { say } from "./base/words";
import { isChart } from "./map/chart";
import { MapView } from "./map/view";

await Promise.all([style(plotStyle), style(mapStyle)]);

forEach("[data-facemap]", (figure) => void show(figure));

async function show(figure: HTMLElement): Promise<void> {
  const address = new URL(figure.dataset["facemap"] ?? "", location.href);
  address.searchParams.set("width", String(Math.round(Math.max(200, figure.clientWidth) * (devicePixelRatio || 1))));
  const picture = find("[data-plain], img, svg", figure);
  try {
    const answer = await fetch(address, { headers: { Accept: "application/json" }, credentials: "same-origin" });
    const chart: unknown = answer.ok ? await answer.json() : null;
    if (!isChart(chart)) throw new Error("no chart came");
    new MapView(figure, chart, figure.dataset["profile"]);
    if (picture) picture.hidden = true;
  } catch {
    picture?.removeAttribute("data-plain"); // the mill's own picture stays
    figure.append(make("p", { class: "soft", role: "status" }, say("script.no-map")));
  }
}
