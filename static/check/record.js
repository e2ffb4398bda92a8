// What stands in a draw record, and the checks that need no draw: the form, the
// plan, the list, and the ledger, by the sections of challenge/draw/RECORD.md.
// Needs hash.js and serves check.js; shares no code with the program that writes
// the records. Each check returns what it found, or throws Wrong.
(function (root) {
	"use strict";

	const { utf8, hex, fromHex, join, sha256, ed25519Verify } = root.fairladleHash;

	class Wrong extends Error {}

	function need(condition, text) {
		if (!condition) throw new Wrong(text);
	}

	function canon(v) {
		if (Array.isArray(v)) return "[" + v.map(canon).join(",") + "]";
		if (v && typeof v === "object") {
			return "{" + Object.keys(v).sort().map((k) => JSON.stringify(k) + ":" + canon(v[k])).join(",") + "}";
		}
		return JSON.stringify(v);
	}

	// ---- 1 and 2: how it is written, and the members

	const whole = (low, high) => (v) => need(Number.isInteger(v) && v >= low && v <= (high || 2 ** 53), "not a whole number from " + low + ": " + v);
	const pattern = (re, what) => (v) => need(typeof v === "string" && re.test(v), "not " + what + ": " + v);
	const text = (v) => need(typeof v === "string", "not a text: " + v);
	const just = (wanted) => (v) => need(v === wanted, "not " + wanted + ": " + v);
	const oneOf = (...options) => (v) => need(options.includes(v), "not one of " + options.join(", ") + ": " + v);
	const truth = oneOf(true, false);
	const line = pattern(/^[^\u0000-\u001f\u007f-\u009f]+$/, "a line");
	const hash = pattern(/^[0-9a-f]{64}$/, "64 hex digits");
	const salt = pattern(/^[0-9a-f]{32}$/, "32 hex digits");

	function moment(v) {
		const ok = typeof v === "string" && /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$/.test(v);
		const t = ok ? new Date(v) : NaN;
		need(!isNaN(t) && t.toISOString() === v.slice(0, 19) + ".000Z", "not a time: " + v);
	}

	const array = (item, least) => (v) => {
		need(Array.isArray(v) && v.length >= (least || 0), "not an array of at least " + (least || 0));
		v.forEach(item);
	};

	// A trailing underscore marks a member that may be left out.
	const members = (fields) => (v) => {
		need(v !== null && typeof v === "object" && !Array.isArray(v), "not an object");
		for (const k of Object.keys(v)) {
			need(Object.hasOwn(fields, k) || Object.hasOwn(fields, k + "_"), "a member too many: " + k);
		}
		for (const [k, check] of Object.entries(fields)) {
			const name = k.replace(/_$/, "");
			if (Object.hasOwn(v, name)) check(v[name]);
			else need(name !== k, "a member is missing: " + k);
		}
	};

	const pin = members({ leaf: whole(0), salt, proof: array(hash) });
	const dice = members({ faces: array(whole(2, 1000), 1), reading_: line });
	const source = members({
		name: line, how: line, at: moment, form: oneOf("whole", "decimal", "text"), count: whole(1, 100),
		low_: whole(1, 1e12), high_: whole(1, 1e12), distinct_: just(true), bits: whole(1, 128),
	});
	const plan = members({
		draw: line, challenge: line, rehearsal_: just(true), method: oneOf("dice", "seeds", "public"), dice_: dice,
		seeds_: members({ parties: array(line, 2), commit_by: moment, reveal_by: moment, later_: source }),
		sources_: array(source, 1), fallback_: dice, places: whole(1), announced_at: moment, frozen_at: moment,
		release_at_: moment, announcements_: array(members({ at: moment, what: line }), 1),
		roster: members({ entries: whole(2), tickets: whole(2), root: hash }),
	});
	const common = { kind: text, n: whole(1), at: moment, by: line };
	const events = {
		roll: members({ ...common, place: whole(1), dice: array(whole(1), 1) }),
		confirm: members({ ...common, roll: whole(1) }),
		commit: members({ ...common, party: line, commitment: hash }),
		reveal: members({ ...common, party: line, nonce: salt, secret: line }),
		source: members({ ...common, source: whole(1), values: array(text, 1) }),
		void: members({ ...common, reason: line }),
	};
	const form = members({
		version: just(1), plan, void: truth, result: array(whole(1)),
		roster: array(members({ number: whole(1), weight: whole(1), commitment: hash }), 2),
		events: array((v) => {
			need(v && Object.hasOwn(events, v.kind), "an event of no known kind");
			events[v.kind](v);
		}),
		steps: array(members({
			place: whole(1), way: oneOf("roll", "hmac", "md5", "only one left"), tickets: whole(1), rolls_: array(whole(1), 1),
			counter: whole(0), digest_: text, value: whole(0), limit: whole(0), index: whole(-1), number: whole(0),
		})),
		ledger: members({
			checkpoint: text, key: hash, frozen: pin, events: array(pin), outcome_: pin,
			earlier_: array(members({ size: whole(0), root: hash, proof: array(hash) }), 1),
		}),
	});

	function checkForm(written) {
		let record;
		try {
			record = JSON.parse(written);
		} catch (e) {
			throw new Wrong("not JSON: " + e.message);
		}
		form(record);
		need(canon(record) === written, "not in canonical form");
		return record;
	}

	// ---- 3: the list

	const leafHash = (data) => sha256(join([0], data));
	const node = (left, right) => sha256(join([1], left, right));
	const same = (a, b) => hex(a) === hex(b);

	function treeHash(level) {
		// Pairing neighbours level by level, an odd last one moving up, gives the
		// tree of RFC 9162.
		while (level.length > 1) {
			const up = [];
			for (let i = 0; i + 1 < level.length; i += 2) up.push(node(level[i], level[i + 1]));
			if (level.length % 2) up.push(level[level.length - 1]);
			level = up;
		}
		return level[0];
	}

	function checkList(record) {
		const roster = record.roster;
		need(roster.length <= 100000, "too many entries");
		need(roster.every((t, i) => i === 0 || roster[i - 1].number < t.number), "the numbers do not rise");
		const tickets = roster.reduce((n, t) => n + t.weight, 0);
		need(tickets < 2 ** 31 && roster[roster.length - 1].number < 2 ** 31, "too many tickets");
		const root = hex(treeHash(roster.map((t) => leafHash(utf8(t.number + " " + t.weight + " " + t.commitment)))));
		const found = canon({ entries: roster.length, tickets, root });
		need(found === canon(record.plan.roster), "the plan names another list than " + found);
		const madeUp = roster.every((t, i) => t.number === i + 1 && t.commitment === hex(sha256(utf8("rehearsal " + (i + 1)))));
		need(madeUp === (record.plan.rehearsal || false), "a rehearsal's list is made up, and no other is");
		return roster.length + " entries, " + tickets + " tickets, root " + root;
	}

	// ---- 2: the plan

	function combos(d) {
		const n = d.faces.reduce((a, b) => a * b, 1);
		need(d.faces.length <= 8 && n <= 1e6, "too many dice");
		return n;
	}

	// falling returns n (n-1) ... (n-k+1), or part of it once it is far above
	// everything it is compared with.
	const FAR = 2n ** 8000n;

	function falling(n, k) {
		let out = 1n;
		for (let i = 0; i < k && out <= FAR; i++) out *= BigInt(n - i);
		return out;
	}

	const bounded = (s) => "low" in s || "high" in s;

	function checkSource(s) {
		const low = s.low || 0, high = s.high || 0;
		need(low <= high, "a source's bounds are upside down");
		if (s.form !== "whole") need(!bounded(s) && !s.distinct, "only whole numbers have bounds");
		if (s.form === "text") need(s.count === 1, "a source gives one text");
		if (!bounded(s)) return;
		const m = high - low + 1;
		const ways = s.distinct ? falling(m, s.count) : BigInt(m) ** BigInt(s.count);
		need((2n ** BigInt(s.bits)) * falling(s.count, s.count) <= ways, "a source is counted with more surprise than it has");
	}

	function checkPlan(p) {
		for (const [member, method] of [["dice", "dice"], ["seeds", "seeds"], ["sources", "public"]]) {
			need(member in p === (p.method === method), "method " + p.method + " and " + member);
		}
		need(p.places <= p.roster.entries, "more places than entries");
		need(p.announced_at <= p.frozen_at, "announced after the list was fixed");
		for (const a of p.announcements || []) need(a.at <= p.frozen_at, "an announcement after the list was fixed");
		if (p.dice) combos(p.dice);
		if (p.fallback) combos(p.fallback);
		need(!p.fallback || p.seeds, "a fallback without seeds");
		if (p.seeds) checkSeeds(p, p.seeds);
		if (p.sources) checkSources(p);
		return "by " + p.method + ", " + p.places + (p.places === 1 ? " place, announced " : " places, announced ") + p.announced_at + ", list fixed " + p.frozen_at;
	}

	function checkSeeds(p, s) {
		need(s.parties.length <= 200 && new Set(s.parties).size === s.parties.length, "the parties differ and are no more than 200");
		need(s.commit_by < s.reveal_by && p.frozen_at < s.reveal_by, "the times of the seeds");
		need("fallback" in p !== "later" in s, "either a fallback or a later value");
		if (!s.later) return;
		checkSource(s.later);
		need(s.reveal_by < s.later.at, "the later value is not later");
		need(s.later.bits >= 20, "the later value has too little surprise");
	}

	function checkSources(p) {
		need(p.sources.length <= 20, "too many sources");
		for (const s of p.sources) {
			checkSource(s);
			need(p.announced_at < s.at && p.frozen_at < s.at, "a source that was known before");
		}
		const last = p.sources.map((s) => s.at).sort().pop();
		need(!p.release_at || p.release_at <= last, "kept longer than it can be");
		need(p.roster.entries <= 65535 && p.roster.tickets === p.roster.entries, "too many tickets for public sources");
		const ways = falling(p.roster.entries, p.places);
		need(ways <= 2n ** 128n, "more places than MD5 can draw");
		need(ways <= 2n ** BigInt(p.sources.reduce((n, s) => n + s.bits, 0)), "the sources have too little surprise");
	}

	// ---- 7: how a source is written down

	function written(s, values) {
		need(values.length === s.count, "a source gives another count of values");
		const strip = (digits) => digits.replace(/^0+(?=.)/, "");
		if (s.form === "text") {
			need(utf8(values[0]).length <= 300 && !/[\u0000-\u001f\u007f-\u009f]/.test(values[0]), "not a text in one line");
			const kept = values[0].replace(/[A-Z]/g, (c) => c.toLowerCase()).replace(/[^a-z0-9]/g, "");
			need(kept, "a text without a letter or digit");
			return kept + "/";
		}
		if (s.form === "decimal") {
			const parts = values.map((v) => {
				const found = /^([0-9]{1,30})(?:\.([0-9]{0,30}))?$/.exec(v);
				need(found, "not a decimal value: " + v);
				return [BigInt(found[1]), (found[2] || "").replace(/0+$/, "")];
			});
			parts.sort((a, b) => (a[0] < b[0] ? -1 : a[0] > b[0] ? 1 : a[1] < b[1] ? -1 : a[1] > b[1] ? 1 : 0));
			return parts.map(([whole, fraction]) => whole + "." + fraction).join("") + "/";
		}
		const numbers = values.map((v) => {
			need(/^[0-9]{1,30}$/.test(v), "not a whole value: " + v);
			return BigInt(v);
		});
		if (bounded(s)) need(numbers.every((n) => n >= BigInt(s.low || 0) && n <= BigInt(s.high)), "a value out of bounds");
		if (s.distinct) need(new Set(numbers).size === numbers.length, "a value twice");
		return numbers.sort((a, b) => (a < b ? -1 : a > b ? 1 : 0)).map((n) => n + ".").join("") + "/";
	}

	// ---- 8: the ledger

	function half(n) {
		return Math.floor(n / 2);
	}

	// RFC 9162, section 2.1.3.2.
	function checkInclusion(index, size, leaf, proof, rootHash) {
		need(index < size, "a leaf behind the end of the ledger");
		let fn = index, sn = size - 1, h = leaf;
		for (const p of proof.map(fromHex)) {
			need(sn !== 0, "a proof that is too long");
			if (fn % 2 || fn === sn) {
				h = node(p, h);
				for (; fn % 2 === 0 && fn !== 0; fn = half(fn), sn = half(sn));
			} else h = node(h, p);
			fn = half(fn);
			sn = half(sn);
		}
		need(sn === 0 && same(h, rootHash), "the proof does not lead to the root");
	}

	// RFC 9162, section 2.1.4.2; equal sizes and the empty tree besides.
	function checkConsistency(first, firstRoot, second, secondRoot, proof) {
		need(first <= second, "an earlier head that is larger");
		const path = proof.map(fromHex);
		if (first === 0 || first === second) {
			need(path.length === 0 && same(firstRoot, first === 0 ? sha256([]) : secondRoot), "the heads differ");
			return;
		}
		need(path.length > 0, "a proof that is too short");
		let fn = first - 1, sn = second - 1;
		for (; fn % 2; fn = half(fn), sn = half(sn));
		if (fn === 0) path.unshift(firstRoot); // the older tree is a whole subtree
		let fr = path[0], sr = path[0];
		for (const c of path.slice(1)) {
			need(sn !== 0, "a proof that is too long");
			if (fn % 2 || fn === sn) {
				fr = node(c, fr);
				sr = node(c, sr);
				for (; fn % 2 === 0 && fn !== 0; fn = half(fn), sn = half(sn));
			} else sr = node(sr, c);
			fn = half(fn);
			sn = half(sn);
		}
		need(sn === 0 && same(fr, firstRoot) && same(sr, secondRoot), "the ledger does not continue an earlier head");
	}

	function base64(text, what) {
		let raw = "";
		try {
			raw = atob(text);
		} catch (e) {
			throw new Wrong(what + " is not base64");
		}
		need(btoa(raw) === text, what + " is not base64");
		return Uint8Array.from(raw, (c) => c.charCodeAt(0));
	}

	function readHead(record) {
		const parts = record.ledger.checkpoint.split("\n");
		need(parts.length === 6 && parts[3] === "" && parts[5] === "", "not a signed note");
		const [origin, size] = parts;
		need(/^[^\s+]+$/.test(origin) && /^(0|[1-9][0-9]{0,14})$/.test(size), "not a checkpoint");
		const rootHash = base64(parts[2], "the root");
		need(rootHash.length === 32, "the root has not 32 bytes");
		return { origin, size: Number(size), root: rootHash, signature: parts[4], signed: parts.slice(0, 3).join("\n") + "\n" };
	}

	function checkSignature(record, head) {
		const prefix = "\u2014 " + head.origin + " ";
		need(head.signature.startsWith(prefix), "the signature is by another name");
		const raw = base64(head.signature.slice(prefix.length), "the signature");
		const key = fromHex(record.ledger.key);
		const id = sha256(join(utf8(head.origin), [10, 1], key)).slice(0, 4);
		need(same(raw.slice(0, 4), id), "the signature is by another key");
		need(ed25519Verify(key, utf8(head.signed), raw.slice(4)), "the signature does not hold");
		return "key " + record.ledger.key;
	}

	function checkPin(head, p, body) {
		const commitment = sha256(join(fromHex(p.salt), utf8(canon(body))));
		checkInclusion(p.leaf, head.size, leafHash(commitment), p.proof, head.root);
		return "leaf " + p.leaf;
	}

	root.fairladleRecord = {
		Wrong, need, canon, checkForm, checkPlan, checkList, combos, written, readHead, checkSignature, checkPin, checkConsistency,
	};
})(window);
