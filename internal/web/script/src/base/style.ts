// Styles that come along with a script.

/** Adds a style of the bundle to the page, once, and waits until it is there. */
export function style(address: string): Promise<void> {
  const old = document.querySelector(`link[href="${CSS.escape(address)}"]`);
  if (old) return Promise.resolve();
  const link = document.createElement("link");
  link.rel = "stylesheet";
  link.href = address;
  return new Promise((done) => {
    link.onload = link.onerror = () => done();
    document.head.append(link);
  });
}
