// A form's fields as the body of an act. A name is a path, as it is on the command line: stone.length_mm, slabs.0.id.

/** One filled field of a form. */
export interface Field {
  name: string;
  value: string;
  as: "text" | "number" | "yes" | "list";
}

type Json = string | number | boolean | Json[] | { [name: string]: Json };

/** The body that the fields make. What is empty is left out, and so are names that begin with an underscore. */
export function bodyOf(fields: Iterable<Field>): Record<string, Json> {
  const body: Record<string, Json> = {};
  for (const f of fields) {
    const value = valueOf(f);
    if (value === undefined || f.name === "" || f.name.startsWith("_")) continue;
    place(body, f.name.split("."), value);
  }
  return closed(body) as Record<string, Json>;
}

function valueOf(f: Field): Json | undefined {
  const text = f.value.trim();
  if (text === "") return undefined;
  switch (f.as) {
    case "number": {
      const x = Number(text.replace(",", ".").replace("−", "-"));
      return Number.isFinite(x) ? x : text; // the mill says what is wrong with it
    }
    case "yes":
      return text !== "no" && text !== "false";
    case "list":
      return text.split(/[,;\n]/).map((t) => t.trim()).filter((t) => t !== "");
    case "text":
      return text;
  }
}

function place(into: Record<string, Json>, path: string[], value: Json): void {
  const [first, ...rest] = path;
  if (first === undefined || first === "__proto__") return;
  if (rest.length === 0) {
    into[first] = value;
    return;
  }
  const next = into[first];
  const inner: Record<string, Json> = typeof next === "object" && !Array.isArray(next) ? next : {};
  into[first] = inner;
  place(inner, rest, value);
}

/** Objects whose names all are numbers are lists; gaps in them are closed. */
function closed(value: Json): Json {
  if (typeof value !== "object" || Array.isArray(value)) return value;
  const names = Object.keys(value);
  if (names.length > 0 && names.every((n) => /^\d+$/.test(n))) {
    return names.sort((a, b) => Number(a) - Number(b)).map((n) => closed(value[n]!));
  }
  return Object.fromEntries(names.map((n) => [n, closed(value[n]!)]));
}
