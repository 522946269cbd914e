// htmx under a strict policy. It reads its settings once, from the page's head, when it is loaded; this file is imported before it.

const settings = {
  includeIndicatorCSS: false,
  history: false, // the browser's own
  extensions: "closed",
  defaultTimeout: 20_000,
};

for (const old of document.querySelectorAll('meta[name="htmx-config"]')) old.remove();
const meta = document.createElement("meta");
meta.name = "htmx-config";
meta.content = JSON.stringify(settings);
document.head.append(meta);
