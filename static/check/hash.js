// SHA-256, HMAC-SHA-256, MD5, SHA-512 and the verification of Ed25519
// signatures, for check.js, which is loaded after it. A browser's own
// crypto.subtle is absent on plain http and has no MD5. Nothing here is fit for
// secrets: the running time depends on the data, all of which is public.
(function (root) {
	"use strict";

	// ---- bytes

	function utf8(text) {
		return new TextEncoder().encode(text);
	}

	function hex(bytes) {
		let out = "";
		for (const b of bytes) out += (b + 256).toString(16).slice(1);
		return out;
	}

	function fromHex(text) {
		const out = new Uint8Array(text.length / 2);
		for (let i = 0; i < out.length; i++) out[i] = parseInt(text.slice(2 * i, 2 * i + 2), 16);
		return out;
	}

	function join() {
		let n = 0;
		for (const part of arguments) n += part.length;
		const out = new Uint8Array(n);
		n = 0;
		for (const part of arguments) {
			out.set(part, n);
			n += part.length;
		}
		return out;
	}

	// padded appends 0x80, zeros, and the length in bits, to whole blocks.
	function padded(data, block, lengthBytes, littleEndian) {
		const out = new Uint8Array(Math.ceil((data.length + 1 + lengthBytes) / block) * block);
		out.set(data);
		out[data.length] = 0x80;
		const view = new DataView(out.buffer);
		const high = Math.floor(data.length / 0x20000000);
		const low = (data.length << 3) >>> 0;
		view.setUint32(out.length - 8, littleEndian ? low : high, littleEndian);
		view.setUint32(out.length - 4, littleEndian ? high : low, littleEndian);
		return view;
	}

	// ---- SHA-2 (FIPS 180-4). The constants are the first bits of the fractional
	// parts of square and cube roots of the first primes, computed here exactly.

	function primes(n) {
		const out = [];
		for (let p = 2; out.length < n; p++) if (out.every((q) => p % q !== 0)) out.push(p);
		return out;
	}

	// rootBits returns the first bits of the fraction of the k-th root of p.
	function rootBits(p, k, bits) {
		const target = BigInt(p) << BigInt(k * bits);
		let low = 0n;
		let high = BigInt(p) << BigInt(bits);
		while (low + 1n < high) {
			const mid = (low + high) >> 1n;
			if (mid ** BigInt(k) <= target) low = mid;
			else high = mid;
		}
		return BigInt.asUintN(bits, low);
	}

	const K256 = Int32Array.from(primes(64), (p) => Number(rootBits(p, 3, 32)) | 0);
	const H256 = Int32Array.from(primes(8), (p) => Number(rootBits(p, 2, 32)) | 0);
	const K512 = primes(80).map((p) => rootBits(p, 3, 64));
	const H512 = primes(8).map((p) => rootBits(p, 2, 64));

	function sha256(data) {
		const view = padded(data, 64, 8, false);
		const h = Int32Array.from(H256);
		const w = new Int32Array(64);
		const rot = (x, n) => (x >>> n) | (x << (32 - n));
		for (let at = 0; at < view.byteLength; at += 64) {
			for (let i = 0; i < 16; i++) w[i] = view.getInt32(at + 4 * i);
			for (let i = 16; i < 64; i++) {
				const s0 = rot(w[i - 15], 7) ^ rot(w[i - 15], 18) ^ (w[i - 15] >>> 3);
				const s1 = rot(w[i - 2], 17) ^ rot(w[i - 2], 19) ^ (w[i - 2] >>> 10);
				w[i] = w[i - 16] + s0 + w[i - 7] + s1;
			}
			let [a, b, c, d, e, f, g, z] = h;
			for (let i = 0; i < 64; i++) {
				const t1 = (z + (rot(e, 6) ^ rot(e, 11) ^ rot(e, 25)) + ((e & f) ^ (~e & g)) + K256[i] + w[i]) | 0;
				const t2 = ((rot(a, 2) ^ rot(a, 13) ^ rot(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
				z = g; g = f; f = e; e = (d + t1) | 0; d = c; c = b; b = a; a = (t1 + t2) | 0;
			}
			[a, b, c, d, e, f, g, z].forEach((v, i) => { h[i] += v; });
		}
		const out = new DataView(new ArrayBuffer(32));
		h.forEach((v, i) => out.setInt32(4 * i, v));
		return new Uint8Array(out.buffer);
	}

	function sha512(data) {
		const view = padded(data, 128, 16, false);
		const h = H512.slice();
		const u64 = (x) => BigInt.asUintN(64, x);
		const rot = (x, n) => u64((x >> BigInt(n)) | (x << BigInt(64 - n)));
		for (let at = 0; at < view.byteLength; at += 128) {
			const w = [];
			for (let i = 0; i < 16; i++) w.push(view.getBigUint64(at + 8 * i));
			for (let i = 16; i < 80; i++) {
				const s0 = rot(w[i - 15], 1) ^ rot(w[i - 15], 8) ^ (w[i - 15] >> 7n);
				const s1 = rot(w[i - 2], 19) ^ rot(w[i - 2], 61) ^ (w[i - 2] >> 6n);
				w.push(u64(w[i - 16] + s0 + w[i - 7] + s1));
			}
			let [a, b, c, d, e, f, g, z] = h;
			for (let i = 0; i < 80; i++) {
				const t1 = z + (rot(e, 14) ^ rot(e, 18) ^ rot(e, 41)) + ((e & f) ^ (u64(~e) & g)) + K512[i] + w[i];
				const t2 = (rot(a, 28) ^ rot(a, 34) ^ rot(a, 39)) + ((a & b) ^ (a & c) ^ (b & c));
				z = g; g = f; f = e; e = u64(d + t1); d = c; c = b; b = a; a = u64(t1 + t2);
			}
			[a, b, c, d, e, f, g, z].forEach((v, i) => { h[i] = u64(h[i] + v); });
		}
		const out = new DataView(new ArrayBuffer(64));
		h.forEach((v, i) => out.setBigUint64(8 * i, v));
		return new Uint8Array(out.buffer);
	}

	// RFC 2104.
	function hmacSha256(key, message) {
		const block = new Uint8Array(64);
		block.set(key.length > 64 ? sha256(key) : key);
		return sha256(join(block.map((b) => b ^ 0x5c), sha256(join(block.map((b) => b ^ 0x36), message))));
	}

	// ---- MD5 (RFC 1321). Its table is made of sines; 32 of their 53 bits are
	// used, so that a last bit that differs between browsers does not matter.

	const SHIFT = [[7, 12, 17, 22], [5, 9, 14, 20], [4, 11, 16, 23], [6, 10, 15, 21]];
	const SINES = Int32Array.from({ length: 64 }, (_, i) => Math.floor(Math.abs(Math.sin(i + 1)) * 4294967296) | 0);

	function md5(data) {
		const view = padded(data, 64, 8, true);
		const h = Int32Array.of(0x67452301, 0xefcdab89, 0x98badcfe, 0x10325476);
		for (let at = 0; at < view.byteLength; at += 64) {
			let [a, b, c, d] = h;
			for (let i = 0; i < 64; i++) {
				const round = i >> 4;
				const f = [(b & c) | (~b & d), (d & b) | (~d & c), b ^ c ^ d, c ^ (b | ~d)][round];
				const word = [i, 5 * i + 1, 3 * i + 5, 7 * i][round] % 16;
				const sum = (a + f + SINES[i] + view.getInt32(at + 4 * word, true)) | 0;
				const n = SHIFT[round][i % 4];
				a = d; d = c; c = b; b = (b + ((sum << n) | (sum >>> (32 - n)))) | 0;
			}
			[a, b, c, d].forEach((v, i) => { h[i] += v; });
		}
		const out = new DataView(new ArrayBuffer(16));
		h.forEach((v, i) => out.setInt32(4 * i, v, true));
		return new Uint8Array(out.buffer);
	}

	// ---- Ed25519 (RFC 8032, section 5.1), verification only

	const P = 2n ** 255n - 19n;
	const L = 2n ** 252n + 27742317777372353535851937790883648493n;
	const mod = (x) => ((x % P) + P) % P;

	function power(x, e) {
		let out = 1n;
		for (x = mod(x); e > 0n; e >>= 1n, x = (x * x) % P) if (e & 1n) out = (out * x) % P;
		return out;
	}

	const D = mod(-121665n * power(121666n, P - 2n));

	function add(p, q) {
		const a = mod((p[1] - p[0]) * (q[1] - q[0]));
		const b = mod((p[1] + p[0]) * (q[1] + q[0]));
		const c = mod(2n * p[3] * q[3] * D);
		const d = mod(2n * p[2] * q[2]);
		const e = b - a, f = d - c, g = d + c, h = b + a;
		return [mod(e * f), mod(g * h), mod(f * g), mod(e * h)];
	}

	function times(n, p) {
		let out = [0n, 1n, 1n, 0n];
		for (; n > 0n; n >>= 1n, p = add(p, p)) if (n & 1n) out = add(out, p);
		return out;
	}

	function littleEndian(bytes) {
		return BigInt("0x" + hex(Uint8Array.from(bytes).reverse()));
	}

	function point(bytes) {
		const all = littleEndian(bytes);
		const sign = all >> 255n;
		const y = all & (2n ** 255n - 1n);
		if (y >= P) return null;
		const x2 = mod((y * y - 1n) * power(D * y * y + 1n, P - 2n));
		let x = power(x2, (P + 3n) / 8n);
		if (mod(x * x - x2) !== 0n) x = mod(x * power(2n, (P - 1n) / 4n));
		if (mod(x * x - x2) !== 0n || (x === 0n && sign)) return null;
		if ((x & 1n) !== sign) x = P - x;
		return [x, y, 1n, mod(x * y)];
	}

	const BASE = point(fromHex("58" + "66".repeat(31)));

	function ed25519Verify(key, message, signature) {
		if (key.length !== 32 || signature.length !== 64) return false;
		const a = point(key), r = point(signature.slice(0, 32)), s = littleEndian(signature.slice(32));
		if (!a || !r || s >= L) return false;
		const h = littleEndian(sha512(join(signature.slice(0, 32), key, message))) % L;
		const left = times(s, BASE), right = add(r, times(h, a));
		return mod(left[0] * right[2] - right[0] * left[2]) === 0n && mod(left[1] * right[2] - right[1] * left[2]) === 0n;
	}

	root.fairladleHash = { utf8, hex, fromHex, join, sha256, sha512, hmacSha256, md5, ed25519Verify };
})(window);
