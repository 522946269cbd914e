// What scripts ask of the page they run on.

import { Numbers } from "./numbers";

export const root = document.documentElement;

/** Numbers as the reader of this page wants them. */
export const numbers = new Numbers(root.lang || "en", root.dataset["units"] === "inch" ? "inch" : "mm");

/** Who is signed in; empty when nobody is. */
export const person = (): string => document.body.dataset["person"] ?? "";

/** The first element within that fits, if there is one. */
export function find<E extends Element = HTMLElement>(selector: string, within: ParentNode = document): E | null {
  return within.querySelector<E>(selector);
}

/** All elements within that fit. */
export function all<E extends Element = HTMLElement>(selector: string, within: ParentNode = document): E[] {
  return [...within.querySelectorAll<E>(selector)];
}

/** Makes an element with attributes and children. */
export function make<K extends keyof HTMLElementTagNameMap>(tag: K, attributes: Record<string, string> = {}, ...children: (Node | string)[]): HTMLElementTagNameMap[K] {
  const e = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) e.setAttribute(name, value);
  e.append(...children);
  return e;
}

/** Makes an element of a drawing. */
export function draw<K extends keyof SVGElementTagNameMap>(tag: K, attributes: Record<string, string | number> = {}, ...children: (Node | string)[]): SVGElementTagNameMap[K] {
  const e = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) e.setAttribute(name, String(value));
  e.append(...children);
  return e;
}

/** Whether keys that are typed now go into a field of the page. */
export function typesInto(target: EventTarget | null): target is HTMLInputElement | HTMLTextAreaElement {
  if (target instanceof HTMLTextAreaElement) return true;
  return target instanceof HTMLInputElement && !["button", "submit", "reset", "checkbox", "radio", "range", "color", "file", "image"].includes(target.type);
}

/** Runs what is given for each region of the page, now and when a region is put in place of another. */
export function forEach(selector: string, wire: (e: HTMLElement) => void): void {
  const wired = new WeakSet<Element>();
  const look = (within: ParentNode): void => {
    for (const e of all(selector, within)) {
      if (wired.has(e)) continue;
      wired.add(e);
      wire(e);
    }
  };
  look(document);
  new MutationObserver((changes) => {
    if (changes.some((c) => c.addedNodes.length > 0)) look(document);
  }).observe(document.body, { childList: true, subtree: true });
}
