// Marking out a slab: drawing over a photo, and the answer without leaving the page.

import { find, forEach } from "./base/page";
import { style } from "./base/style";
import { answering } from "./marking/answer";
import { Desk } from "./marking/desk";
import markingStyle from "./marking/marking.css";

await style(markingStyle);

forEach("[data-marking]", (box) => {
  const slab = find<HTMLTextAreaElement>("textarea[name=slab]");
  const points = find<HTMLTextAreaElement>("textarea[name=photo]");
  if (!slab || !points || !slab.form) return;
  new Desk(box, slab, points);
  answering(slab.form);
});
