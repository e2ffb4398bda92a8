// Runs the check scripts under Node.js, as a page would load them.
//
//     node run.js vectors          checks the hashes against published values
//     node run.js records FILE...  one line for each record, by what the page shows
//     node run.js kept FILE KEPT   what the page answers to a kept slip or head
"use strict";
const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");

// A page without a browser: just what check.js uses.
class Element {
	constructor(name) { this.name = name; this.textContent = ""; this.children = []; this.className = ""; }
	addEventListener(_, listen) { this.listen = listen; }
	append(...more) { this.children.push(...more); }
	replaceChildren(...all) { this.children = all; }
	text() { return this.textContent + this.children.map((c) => c.text() + "\n").join(""); }
}
const page = {};
for (const id of ["record", "check-steps", "check-kept", "check-kept-result"]) page[id] = new Element("div");
globalThis.window = globalThis;
globalThis.document = {
	readyState: "complete",
	getElementById: (id) => page[id],
	createElement: (name) => new Element(name),
};

for (const name of ["hash.js", "record.js", "draw.js", "check.js"]) require(path.join(__dirname, "..", name));

function vectors() {
	const h = globalThis.fairladleHash;
	const hex = (f, ...args) => h.hex(f(...args));
	const bytes = (text) => h.utf8(text);
	const repeat = (b, n) => new Uint8Array(n).fill(b);
	// FIPS 180-2, appendices B and C, from memory.
	assert.equal(hex(h.sha256, bytes("abc")), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
	assert.equal(hex(h.sha512, bytes("abc")), "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f");
	// RFC 1321, appendix A.5, from memory.
	assert.equal(hex(h.md5, bytes("")), "d41d8cd98f00b204e9800998ecf8427e");
	assert.equal(hex(h.md5, bytes("message digest")), "f96b697d7cb7938d525a2f31aaf161d0");
	// RFC 4231, sections 4.2, 4.3, 4.4 and 4.7.
	assert.equal(hex(h.hmacSha256, repeat(0x0b, 20), bytes("Hi There")), "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7");
	assert.equal(hex(h.hmacSha256, bytes("Jefe"), bytes("what do ya want for nothing?")), "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843");
	assert.equal(hex(h.hmacSha256, repeat(0xaa, 20), repeat(0xdd, 50)), "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe");
	assert.equal(hex(h.hmacSha256, repeat(0xaa, 131), bytes("Test Using Larger Than Block-Size Key - Hash Key First")), "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54");
	// RFC 8032, section 7.1, test 1, from memory.
	const key = h.fromHex("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a");
	const signature = h.fromHex("e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b");
	assert.ok(h.ed25519Verify(key, bytes(""), signature));
	assert.ok(!h.ed25519Verify(key, bytes("x"), signature));
	signature[63] ^= 0x80;
	assert.ok(!h.ed25519Verify(key, bytes(""), signature));
	// Every length around the padding of a block, against Node's own hashes.
	const own = require("node:crypto");
	for (let n = 0; n < 300; n++) {
		const data = new Uint8Array(n).map((_, i) => 7 * i + n);
		for (const name of ["sha256", "sha512", "md5"]) {
			assert.equal(hex(h[name], data), own.createHash(name).update(data).digest("hex"), name + " of " + n);
		}
	}
	console.log("vectors hold");
}

function records(files) {
	for (const file of files) {
		// As Inline writes it into a page.
		page.record.textContent = fs.readFileSync(file, "utf8").replaceAll("<", "\\u003c");
		globalThis.fairladleCheck.run();
		const shown = page["check-steps"].text();
		const holds = shown.includes("Everything that can be checked here holds.");
		console.log((holds ? "HOLDS " : "WRONG ") + file + " " + shown.split("\n").filter((l) => l.startsWith("Does not hold"))[0]);
	}
}

function kept(file, text) {
	records([file]);
	page["check-kept"].value = text;
	page["check-kept"].listen();
	console.log(page["check-kept-result"].text());
}

const [what, ...args] = process.argv.slice(2);
if (what === "vectors") vectors();
else if (what === "kept") kept(...args);
else records(args);
