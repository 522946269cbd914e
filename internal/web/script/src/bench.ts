// The page of the bench: measuring, one number at a time.

import address from "./bench/bench.css";
import { Desk } from "./bench/desk";
import { readPlan } from "./bench/plan";
import { find, root } from "./base/page";
import { style } from "./base/style";
import { learn } from "./base/words";

const box = find("[data-bench]");
const plan = box && find("[data-bench-plan]", box);
if (box && plan) {
  await Promise.all([learn(root.lang), style(address)]);
  await new Desk(box, readPlan(plan.textContent ?? "")).begin();
}
