// The list of a drilled bed, filled in at the drill: one number at a time.

import { find, forEach } from "./base/page";
import { style } from "./base/style";
import drillingStyle from "./drilling/drilling.css";
import { Panel } from "./drilling/panel";

await style(drillingStyle);

forEach("[data-drill]", (box) => {
  const spec = find<HTMLTextAreaElement>("textarea[name=spec]");
  const list = find<HTMLTextAreaElement>("textarea[name=measured]");
  if (spec?.form && list) new Panel(box, spec.form, spec, list);
});
