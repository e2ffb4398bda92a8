// Does a draw again from its record, by sections 3 to 9 of
// challenge/draw/RECORD.md. Needs hash.js and record.js and serves check.js.
// fairladleCheck.verify(text) gives { claims: [{what, holds, detail}], events and
// steps and cannot: [text], record }; kept(text, record) gives claims.
(function (root) {
	"use strict";

	const { utf8, hex, fromHex, join, sha256, hmacSha256, md5 } = root.fairladleHash;
	const { Wrong, need, canon, checkForm, checkPlan, checkList, combos, written, readHead, checkSignature, checkPin, checkConsistency } = root.fairladleRecord;

	// ---- 3: what is left of the list, as a Fenwick tree over the tickets

	class Pool {
		constructor(roster) {
			this.roster = roster;
			this.sums = new Array(roster.length + 1).fill(0);
			this.tickets = 0;
			this.entries = roster.length;
			roster.forEach((t, i) => this.move(i, t.weight));
		}

		move(i, weight) {
			for (let at = i + 1; at < this.sums.length; at += at & -at) this.sums[at] += weight;
			this.tickets += weight;
		}

		take(index) {
			let at = 0;
			for (let step = 1 << 17; step > 0; step >>= 1) {
				if (at + step < this.sums.length && this.sums[at + step] <= index) {
					at += step;
					index -= this.sums[at];
				}
			}
			this.move(at, -this.roster[at].weight);
			this.entries--;
			return this.roster[at].number;
		}
	}

	// ---- 4 to 7: the events, and the steps that follow from them

	class Draw {
		constructor(record) {
			this.plan = record.plan;
			this.pool = new Pool(record.roster);
			this.dice = record.plan.dice;
			this.steps = [];
			this.result = [];
			this.rolls = new Map();
			this.confirmed = new Set();
			this.pending = [];
			this.commitments = new Map();
			this.reveals = new Map();
			this.values = new Map();
			this.done = this.void = false;
			this.sources = record.plan.sources || [];
			if (record.plan.seeds && record.plan.seeds.later) this.sources = [record.plan.seeds.later];
		}

		step(way, more) {
			const place = this.result.length + 1;
			return Object.assign({ place, way, tickets: this.pool.tickets, counter: 0, value: 0, limit: 0, index: -1, number: 0 }, more);
		}

		fill(step) {
			step.number = this.pool.take(step.index);
			this.steps.push(step);
			this.result.push(step.number);
			this.done = this.result.length === this.plan.places;
		}

		apply(e, n) {
			need(e.n === n, "the number is " + e.n);
			need(!this.void, "the draw was void before");
			need(!this.done || e.kind === "confirm", "every place was filled before");
			if (["roll", "reveal", "source"].includes(e.kind)) need(e.at >= this.plan.frozen_at, "before the list was fixed");
			this["on_" + e.kind](e);
		}

		on_roll(e) {
			need(this.dice, "dice are not in force");
			const faces = this.dice.faces, all = combos(this.dice);
			need(e.place === this.result.length + 1, "another place is next");
			need(e.dice.length === faces.length, "another count of dice");
			need(e.dice.every((a, i) => a <= faces[i]), "a die shows a face it does not have");
			this.rolls.set(e.n, e);
			this.pending.push(e);
			let outcomes = all, throws = 1;
			for (; outcomes < this.pool.tickets; throws++) outcomes *= all;
			if (this.pending.length < throws) return;
			let value = 0;
			for (const roll of this.pending) roll.dice.forEach((a, i) => { value = value * faces[i] + a - 1; });
			const share = Math.floor(outcomes / this.pool.tickets);
			const step = this.step("roll", { rolls: this.pending.map((p) => p.n), value, limit: share * this.pool.tickets });
			this.pending = [];
			if (value >= step.limit) {
				this.steps.push(step);
				return;
			}
			step.index = Math.floor(value / share);
			this.fill(step);
			if (!this.done && this.pool.entries === 1) this.fill(this.step("only one left", { index: 0 }));
		}

		on_confirm(e) {
			const roll = this.rolls.get(e.roll);
			need(roll, "no such roll");
			need(roll.by !== e.by, "confirmed by who typed it");
			need(!this.confirmed.has(e.roll + " " + e.by), "confirmed twice");
			this.confirmed.add(e.roll + " " + e.by);
		}

		on_void() {
			if (this.plan.fallback && !this.dice) this.dice = this.plan.fallback;
			else this.void = true;
		}

		seeds(e) {
			need(this.plan.seeds && !this.dice, "seeds are not in force");
			need(this.plan.seeds.parties.includes(e.party), "no such party");
			return this.plan.seeds;
		}

		on_commit(e) {
			const seeds = this.seeds(e);
			need(!this.commitments.has(e.party), "committed twice");
			need(e.at <= seeds.commit_by && this.reveals.size === 0, "committed too late");
			this.commitments.set(e.party, e.commitment);
		}

		on_reveal(e) {
			const seeds = this.seeds(e);
			need(this.commitments.size === seeds.parties.length || e.at > seeds.commit_by, "revealed too early");
			need(e.at <= seeds.reveal_by, "revealed too late");
			need(this.commitments.has(e.party) && !this.reveals.has(e.party), "never committed, or revealed twice");
			need(seeds.later || this.commitments.size >= 2, "a single commitment");
			const lines = ["fairladle seed 1", this.plan.draw, e.party, e.nonce, e.secret].join("\n");
			need(hex(sha256(utf8(lines))) === this.commitments.get(e.party), "not what was committed to");
			this.reveals.set(e.party, [e.nonce, e.secret]);
			if (!seeds.later && this.reveals.size === this.commitments.size) this.bySeeds("");
		}

		bySeeds(later) {
			const lines = ["fairladle key 1", this.plan.draw, this.plan.roster.root];
			for (const p of this.plan.seeds.parties) lines.push(p, this.commitments.get(p) || "-", ...(this.reveals.get(p) || ["-", "-"]));
			if (later) lines.push(later);
			const key = sha256(utf8(lines.map((l) => l + "\n").join("")));
			for (let counter = 0; !this.done; counter++) {
				const digest = hmacSha256(key, utf8(String(counter)));
				const value = parseInt(hex(digest.slice(0, 4)), 16);
				const limit = 2 ** 32 - (2 ** 32 % this.pool.tickets);
				const step = this.step("hmac", { counter, digest: hex(digest), value, limit });
				if (value < limit) {
					step.index = value % this.pool.tickets;
					this.fill(step);
				} else this.steps.push(step);
			}
		}

		on_source(e) {
			need(!this.dice && e.source <= this.sources.length, "no such source");
			const source = this.sources[e.source - 1];
			need(e.at >= source.at, "typed before it appeared");
			need(!this.values.has(e.source), "typed twice");
			this.values.set(e.source, written(source, e.values));
			if (this.values.size < this.sources.length) return;
			const key = this.sources.map((_, i) => this.values.get(i + 1)).join("");
			if (this.plan.seeds) {
				this.bySeeds(key);
				return;
			}
			for (let counter = 0; !this.done; counter++) {
				const c = [counter >> 8, counter & 255];
				const digest = hex(md5(join(c, utf8(key), c)));
				this.fill(this.step("md5", { counter, digest, index: Number(BigInt("0x" + digest) % BigInt(this.pool.tickets)) }));
			}
		}
	}

	const counted = (n, what) => n + " " + what + (n === 1 ? "" : "s");

	function checkEvents(record) {
		const draw = new Draw(record);
		record.events.forEach((e, i) => {
			try {
				draw.apply(e, i + 1);
			} catch (w) {
				throw w instanceof Wrong ? new Wrong("event " + (i + 1) + ": " + w.message) : w;
			}
		});
		return draw;
	}

	function checkSteps(draw, record) {
		draw.steps.forEach((s, i) => need(record.steps[i] && canon(s) === canon(record.steps[i]), "step " + (i + 1) + " should be " + canon(s)));
		need(draw.steps.length === record.steps.length, "there should be " + draw.steps.length + " steps");
		return counted(draw.steps.length, "step");
	}

	function checkResult(draw, record) {
		need(draw.done || draw.void, "the draw is neither finished nor void");
		need(draw.void === record.void, "whether the draw is void is told wrongly");
		need(canon(record.result) === canon(draw.void ? [] : draw.result), "the result should be " + draw.result.join(", "));
		return draw.void ? "declared void" : "No. " + draw.result.slice(0, 20).join(", No. ") + (draw.result.length > 20 ? " ..." : "");
	}

	// ---- 8: the ledger

	function checkPins(record, head) {
		const { events, frozen } = record.ledger;
		need(events.length === record.events.length, "not one proof for each event");
		record.events.forEach((event, i) => {
			const where = "event " + event.n;
			checkPin(head, events[i], { draw: record.plan.draw, event });
			need(i === 0 || events[i].leaf > events[i - 1].leaf, where + " stands before the one it follows");
			if (event.kind !== "commit" && event.kind !== "void") need(events[i].leaf > frozen.leaf, where + " stands before the list was fixed");
		});
		return counted(events.length, "event");
	}

	function checkOutcome(record, head) {
		const sealed = record.ledger.outcome;
		if (!sealed) {
			need(!record.plan.release_at || record.void, "no sealed outcome is shown");
			return "nothing had to be sealed";
		}
		record.events.forEach((e, i) => need(e.kind === "confirm" || record.ledger.events[i].leaf < sealed.leaf, "sealed before an event it follows from"));
		return checkPin(head, sealed, { draw: record.plan.draw, result: record.result });
	}

	// ---- 9: what to claim

	const CANNOT = [
		"That a typed roll is the one that was filmed, and that the dice are fair: watch the film.",
		"That a public value was typed as it was published: look it up.",
		"Who the parties are, and that the list is complete: each entrant checks that with the slip.",
		"What the clock said, and that this is the only draw: the public ledger lists every draw.",
		"That this ledger is the one others saw: compare its head with one from a slip, a feed or a page saved before the draw.",
	];

	function verify(text) {
		const claims = [];
		const claim = (what, check) => {
			try {
				const found = check();
				claims.push({ what, holds: true, detail: typeof found === "string" ? found : "" });
				return found;
			} catch (w) {
				if (!(w instanceof Wrong)) throw w;
				claims.push({ what, holds: false, detail: w.message });
				return null;
			}
		};
		const record = claim("The text is a draw record, version 1, in canonical form", () => checkForm(text));
		if (!record) return { claims, events: [], steps: [], cannot: CANNOT };
		claim("The plan fits its method", () => checkPlan(record.plan));
		claim("The list is in order and is the one the plan names", () => checkList(record));
		const draw = claims.every((c) => c.holds) && claim("Every event was allowed when it came", () => checkEvents(record));
		if (draw) {
			claim("The steps follow from the list and the events", () => checkSteps(draw, record));
			claim("The result follows from the steps", () => checkResult(draw, record));
		}
		const head = claim("The record names a head of the ledger", () => readHead(record));
		if (head) {
			claims[claims.length - 1].detail = head.origin + ", " + head.size + " leaves, root " + hex(head.root);
			claim("The head is signed with the key in the record", () => checkSignature(record, head));
			claim("The plan and the list were fixed in the ledger", () => checkPin(head, record.ledger.frozen, { frozen: record.plan }));
			claim("Every event stands in the ledger, in this order", () => checkPins(record, head));
			claim("The outcome sealed before the release is this one", () => checkOutcome(record, head));
			for (const e of record.ledger.earlier || []) {
				claim("The ledger continues its earlier head of " + e.size + " leaves",
					() => checkConsistency(e.size, fromHex(e.root), head.size, head.root, e.proof));
			}
		}
		return { claims, events: record.events.map(tellEvent), steps: (draw ? draw.steps : []).map(tell), cannot: CANNOT, record };
	}

	// kept checks what someone kept (an entry slip, a checkpoint, or the size and
	// root of a head) against a record that was verified before. Where a claim
	// holds null, this record alone cannot settle it: most slips name a head that
	// the record does not.
	function kept(text, record) {
		text = text.trim();
		const claims = [];
		if (text.startsWith("{")) {
			const slip = JSON.parse(text);
			const ticket = record.roster.find((t) => t.number === slip.entry);
			const commitment = hex(sha256(join(fromHex(slip.salt), utf8(slip.body))));
			claims.push({
				what: "No. " + slip.entry + " is in the list fixed on " + record.plan.frozen_at + ", unaltered",
				holds: Boolean(ticket) && ticket.commitment === commitment,
				detail: ticket ? "commitment " + commitment : "this number is not in the list",
			});
			text = slip.checkpoint;
		}
		const short = /^([0-9]+)\s+([0-9a-f]{64})$/.exec(text);
		const mine = short ? { size: Number(short[1]), root: fromHex(short[2]) } : readHead({ ledger: { checkpoint: text.trimEnd() + "\n" } });
		const theirs = readHead(record);
		const found = [theirs].concat(record.ledger.earlier || []).find((h) => h.size === mine.size);
		const agrees = found && hex(mine.root) === (typeof found.root === "string" ? found.root : hex(found.root));
		claims.push({
			what: "The ledger of this record is the one you kept a head of",
			holds: mine.origin && mine.origin !== theirs.origin ? false : found ? agrees : null,
			detail: found ? mine.size + " leaves, root " + hex(mine.root)
				: "this record names no head of " + mine.size + " leaves; ask for the proof that leads from yours to its " + theirs.size,
		});
		return claims;
	}

	function tell(s) {
		const start = "Place " + s.place + ": ";
		if (s.number === 0) return start + s.value + " is not below " + s.limit + ", so once more";
		if (s.way === "only one left") return start + "No. " + s.number + ", the only one left";
		if (s.way === "md5") return start + s.digest + " modulo " + s.tickets + " is " + s.index + ": No. " + s.number;
		return start + s.value + " of " + s.limit + " gives ticket " + (s.index + 1) + " of " + s.tickets + ": No. " + s.number;
	}

	function tellEvent(e) {
		const start = e.at + ", " + e.by + ": ";
		switch (e.kind) {
		case "roll": return start + "roll " + e.dice.join(" ") + " for place " + e.place;
		case "confirm": return start + "confirms the roll of event " + e.roll;
		case "commit": return start + e.party + " seals a secret";
		case "reveal": return start + e.party + " opens the secret \u201c" + e.secret + "\u201d";
		case "source": return start + "source " + e.source + " is " + e.values.join(", ");
		}
		return start + "void: " + e.reason;
	}

	root.fairladleCheck = { verify, kept };
})(window);
