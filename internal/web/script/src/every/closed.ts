// Closes the doors of htmx through which text could run as a program. The page's policy forbids it too; this says so in words.

import htmx from "htmx.org";

class Never {
  constructor() {
    throw new Error("no text runs as a program on these pages");
  }
}

htmx.registerExtension("closed", {
  init(inner: { initSecurity(policy: undefined, plain: unknown, waiting: unknown): void }) {
    inner.initSecurity(undefined, Never, Never);
  },
});
