// The held confirmation: the code first, then a press of 1.2 s that shows how far it is.

import { find, forEach, make, root } from "../base/page";
import { say } from "../base/words";
import { Hold, names } from "./hold";

/** Wires every confirmation of the page. */
export function wire(): void {
  forEach("form[data-held]", (form) => {
    const button = find<HTMLButtonElement>("[data-held-button]", form);
    const field = find<HTMLInputElement>("[data-held-code]", form);
    if (button && field) confirm(form as HTMLFormElement, button, field);
  });
}

/** The number of what the form is about, where it has a field for it: that is what must be scanned. */
function aboutWhat(form: HTMLFormElement): string {
  for (const name of ["piece", "slab", "block", "set", "shipment", "thing"]) {
    const value = find<HTMLInputElement>(`[name="${name}"]`, form)?.value.trim() ?? "";
    if (value !== "") return name === "thing" ? value.slice(value.indexOf(":") + 1) : value;
  }
  return "";
}

function confirm(form: HTMLFormElement, button: HTMLButtonElement, field: HTMLInputElement): void {
  const code = (): string => aboutWhat(form) || (form.dataset["held"] ?? "");
  const hold = new Hold();
  const bar = find<HTMLProgressElement>("[data-held-progress]", form);
  const told = make("p", { role: "status", class: "soft" });
  const sent = make("input", { type: "hidden", name: "held", value: "", disabled: "" });
  button.type = "button"; // only the holding sends the form
  button.after(told, sent);
  let decided = false;

  const ready = (): boolean => names(field.value, code());
  const confirmed = (yes: boolean): void => {
    sent.value = yes ? "yes" : "";
    sent.disabled = !yes;
  };
  const look = (): void => {
    confirmed(false);
    button.setAttribute("aria-disabled", String(!ready()));
    told.textContent = say(ready() ? "script.hold-now" : "script.code-first", { code: code() || "…" });
  };
  const show = (share: number): void => {
    button.style.setProperty("--held", String(share));
    if (bar) {
      bar.value = share;
      bar.hidden = !hold.held;
    }
    button.toggleAttribute("data-holding", hold.held);
  };
  const stop = (): void => {
    if (!hold.held) return;
    hold.stop();
    show(0);
    if (!decided) told.textContent = say("script.held-too-short");
  };
  const frame = (): void => {
    if (!hold.held) return;
    const share = hold.progress(performance.now());
    show(share);
    if (share < 1) {
      requestAnimationFrame(frame);
      return;
    }
    decided = true;
    stop();
    confirmed(true);
    field.value = code(); // a label's address named it
    form.requestSubmit();
  };
  const press = (): void => {
    if (!ready()) {
      look();
      field.focus();
      return;
    }
    decided = false;
    confirmed(false); // what was confirmed before and not sent is not confirmed any more
    hold.press(performance.now());
    if (!hold.held) {
      show(0);
      return;
    }
    told.textContent = say("script.hold-on");
    requestAnimationFrame(frame);
  };

  button.addEventListener("pointerdown", (e) => {
    if (e.button !== 0) return;
    e.preventDefault();
    button.focus();
    if (!e.isPrimary) stop();
    else press();
  });
  const slipped = (e: PointerEvent): void => {
    const r = button.getBoundingClientRect();
    if (e.clientX < r.left || e.clientX > r.right || e.clientY < r.top || e.clientY > r.bottom) stop();
  };
  root.addEventListener("pointermove", (e) => hold.held && slipped(e));
  root.addEventListener("pointerdown", (e) => hold.held && !e.isPrimary && stop());
  for (const end of ["pointerup", "pointercancel"] as const) root.addEventListener(end, stop);
  button.addEventListener("contextmenu", (e) => e.preventDefault()); // a long press opens none
  button.addEventListener("keydown", (e) => {
    if (e.key !== "Enter" && e.key !== " ") return;
    e.preventDefault();
    if (!e.repeat && !hold.held) press();
  });
  button.addEventListener("keyup", stop);
  button.addEventListener("blur", stop);
  document.addEventListener("visibilitychange", stop);
  form.addEventListener("input", look);
  form.addEventListener("submit", (e) => {
    if (sent.value === "yes") return;
    e.preventDefault(); // Enter in the field of the code
    e.stopImmediatePropagation();
    look();
    if (ready()) button.focus();
  });
  look();
}
