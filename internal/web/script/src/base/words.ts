// The words of the scripts, in the reader's language. The page brings them, out of the mill's one catalogue.

const said = JSON.parse(document.getElementById("words")?.textContent || "{}") as Record<string, string>;

/** Says what a key stands for, with its places filled. A key without words shows as itself. */
export function say(key: string, places: Record<string, string | number> = {}): string {
  return (said[key] ?? `⟨${key}⟩`).replace(/\{(\w+)\}/g, (hole, name: string) => String(places[name] ?? hole));
}
