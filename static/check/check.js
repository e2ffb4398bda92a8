// Checks the draw record that the page holds in
// <script type="application/json" id="record"> and writes what it finds, step
// by step, into the element #check-steps. A field #check-kept takes an entry slip
// or a kept head; the answer goes into #check-kept-result. It asks no server and
// runs from a file too. Load hash.js, record.js and draw.js before it, all four
// as classic scripts.
//
// The record lies in the page with every "<" written as \u003c, so that no text
// in it can end the script element.
(function (root) {
	"use strict";

	const { verify, kept } = root.fairladleCheck;

	const MOST = 500; // lines a page shows of each list

	function element(name, text, kind) {
		const e = document.createElement(name);
		e.textContent = text;
		if (kind) e.className = kind;
		return e;
	}

	function list(name, lines) {
		const all = document.createElement(name);
		for (const l of lines.slice(0, MOST)) all.append(element("li", l));
		if (lines.length > MOST) all.append(element("li", "and " + (lines.length - MOST) + " more"));
		return all;
	}

	function claimList(claims) {
		const all = document.createElement("ol");
		for (const c of claims) {
			const [word, kind] = c.holds === null ? ["Cannot be told from this record: ", "open"] : c.holds ? ["Holds: ", "holds"] : ["Does not hold: ", "wrong"];
			all.append(element("li", word + c.what + (c.detail ? " (" + c.detail + ")" : ""), kind));
		}
		return all;
	}

	function show(into, found) {
		const holds = found.claims.every((c) => c.holds);
		const rehearsal = found.record && found.record.plan.rehearsal ? "This was a rehearsal on a made-up list; it decides nothing. " : "";
		into.replaceChildren(element("p", rehearsal + (holds
			? "Everything that can be checked here holds. Your browser worked it out by itself."
			: "Something does not hold. The lines marked so say what."), holds ? "holds" : "wrong"));
		into.append(claimList(found.claims));
		if (found.events.length) into.append(element("p", "What was recorded:"), list("ol", found.events));
		if (found.steps.length) into.append(element("p", "The selection, step by step:"), list("ol", found.steps));
		into.append(element("p", "What no check of this record can show:"), list("ul", found.cannot));
	}

	// The text as it was before the page wrote each "<" as \u003c; a backslash in
	// the record is always written twice, so the two cannot be mistaken.
	function restored(text) {
		return text.replace(/\\\\|\\u003c/g, (m) => (m === "\\u003c" ? "<" : m));
	}

	function run() {
		const source = document.getElementById("record"), into = document.getElementById("check-steps");
		if (!source || !into) return;
		try {
			const found = verify(restored(source.textContent.trim()));
			show(into, found);
			if (found.record) watch(found.record);
		} catch (e) {
			into.replaceChildren(element("p", "The check broke off: " + e.message, "wrong"));
		}
	}

	// watch checks whatever is put into the field #check-kept, if the page has one,
	// and answers in #check-kept-result.
	function watch(record) {
		const field = document.getElementById("check-kept"), into = document.getElementById("check-kept-result");
		if (!field || !into) return;
		field.addEventListener("input", () => {
			let answer = element("p", "");
			try {
				if (field.value.trim()) answer = claimList(kept(field.value, record));
			} catch (e) {
				answer = element("p", "This is neither an entry slip nor a head of a ledger.", "wrong");
			}
			into.replaceChildren(answer);
		});
	}

	root.fairladleCheck.run = run;
	if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", run);
	else run();
})(window);
