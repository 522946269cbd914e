// The piece with its points: those read, the next one, the way between them. x runs to the right, y up.

import { draw } from "../base/page";
import type { Plan } from "./plan";
import type { Walk } from "./walk";

const margin = 95; // mm of the stone around it, for the words at its edges

export class Picture {
  private readonly dots: SVGGElement[] = [];
  private readonly ring = draw("g", { class: "next-point" }, draw("circle", { r: 44 }), draw("circle", { r: 16 }));

  constructor(
    place: HTMLElement,
    plan: Plan,
    title: string,
    chosen: (i: number) => void,
  ) {
    const [sx, sy] = plan.size_mm;
    const svg = draw("svg", { viewBox: `${-sx / 2 - margin} ${-sy / 2 - margin} ${sx + 2 * margin} ${sy + 2 * margin}`, class: "bench-picture", role: "img", "aria-label": title });
    svg.append(draw("rect", { x: -sx / 2, y: -sy / 2, width: sx, height: sy, class: "stone-face" }), ...words(plan));
    svg.append(draw("polyline", { points: plan.points.map((p) => `${p.x_mm},${-p.y_mm}`).join(" "), class: "walk" }));
    for (const [i, p] of plan.points.entries()) {
      const dot = draw("g", { class: "point", transform: `translate(${p.x_mm} ${-p.y_mm})` },
        draw("circle", { r: 34, class: "reach" }), draw("circle", { r: 9 }), draw("path", { d: "M-5 0 L-1 5 L6 -5" }));
      dot.addEventListener("click", () => chosen(i));
      this.dots.push(dot);
      svg.append(dot);
    }
    svg.append(this.ring);
    place.replaceChildren(svg);
  }

  /** Shows how far the walk is. */
  show(walk: Walk): void {
    for (const [i, dot] of this.dots.entries()) dot.setAttribute("class", walk.values[i] === null ? "point" : "point read");
    const next = walk.point;
    this.ring.setAttribute("visibility", next ? "visible" : "hidden");
    if (next) this.ring.setAttribute("transform", `translate(${next.x_mm} ${-next.y_mm})`);
  }
}

/** The words at the edges. */
function words(plan: Plan): SVGTextElement[] {
  const [sx, sy] = plan.size_mm;
  const e = plan.edges ?? {};
  const at = (text: string | undefined, transform: string): SVGTextElement[] => (text ? [draw("text", { transform, class: "edge-word" }, text)] : []);
  return [
    ...at(e["x-"], `translate(${-sx / 2 - 35} 0) rotate(-90)`),
    ...at(e["x+"], `translate(${sx / 2 + 65} 0) rotate(-90)`),
    ...at(e["y-"], `translate(0 ${sy / 2 + 65})`),
    ...at(e["y+"], `translate(0 ${-sy / 2 - 35})`),
  ];
}
