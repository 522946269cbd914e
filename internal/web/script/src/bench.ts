// The page of the bench: measuring, one number at a time.

import address from "./bench/bench.css";
import { Desk } from "./bench/desk";
import { readPlan } from "./bench/plan";
import { find } from "./base/page";
import { style } from "./base/style";

const box = find("[data-bench]");
const plan = box && find("[data-bench-plan]", box);
if (box && plan) {
  await style(address);
  await new Desk(box, readPlan(plan.textContent ?? "")).begin();
}
