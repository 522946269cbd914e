// Says whether this browser runs in a secure context: only then does it keep pages and readings for working without network.

export function wire(): void {
	const said = isSecureContext ? "yes" : "no";
	for (const e of document.querySelectorAll<HTMLElement>("[data-secure]")) e.hidden = e.dataset["secure"] !== said;
}
