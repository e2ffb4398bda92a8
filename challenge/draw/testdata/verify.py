#!/usr/bin/env python3
"""Checks draw records as RECORD.md describes them. Standard library only.

    python3 verify.py FILE...          prints each claim; exit status 0 or 1
    python3 verify.py --brief FILE...  one line for each file

It was written from the description alone and shares no code with the program
that writes the records.
"""
import base64
import hashlib
import hmac
import json
import math
import re
import sys
import unicodedata
from fractions import Fraction


class Wrong(Exception):
    """What the record says does not hold."""


def need(condition, text):
    if not condition:
        raise Wrong(text)


def sha(data):
    return hashlib.sha256(data).digest()


def canon(value):
    text = json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return text.encode()


# ---- 1 and 2: how it is written, and the members


def whole(low, high=2**53):
    def check(v):
        need(type(v) is int and low <= v <= high, f"not a whole number from {low}: {v!r}")
    return check


def text(v):
    need(type(v) is str, f"not a text: {v!r}")
    v.encode()  # a lone surrogate is no text


def line(v):
    text(v)
    need(v and not any(unicodedata.category(c) == "Cc" for c in v), f"not a line: {v!r}")


def hexes(n):
    def check(v):
        need(type(v) is str and re.fullmatch(f"[0-9a-f]{{{n}}}", v), f"not {n} hex digits: {v!r}")
    return check


def moment(v):
    need(type(v) is str and re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", v), f"not a time: {v!r}")
    import datetime
    try:
        datetime.datetime.strptime(v, "%Y-%m-%dT%H:%M:%SZ")
    except ValueError:
        raise Wrong(f"not a time: {v!r}") from None


def truth(v):
    need(type(v) is bool, f"neither true nor false: {v!r}")


def just(wanted):
    def check(v):
        need(v == wanted and type(v) is type(wanted), f"not {wanted!r}: {v!r}")
    return check


def array(item, least=0):
    def check(v):
        need(type(v) is list and len(v) >= least, f"not an array of at least {least}")
        for one in v:
            item(one)
    return check


def members(**fields):
    """A trailing underscore marks a member that may be left out."""
    must = {k: f for k, f in fields.items() if not k.endswith("_")}
    may = {k[:-1]: f for k, f in fields.items() if k.endswith("_")}

    def check(v):
        need(type(v) is dict, "not an object")
        for k in v:
            need(k in must or k in may, f"a member too many: {k}")
        for k, f in must.items():
            need(k in v, f"a member is missing: {k}")
            f(v[k])
        for k, f in may.items():
            if k in v:
                f(v[k])
    return check


def either(*options):
    def check(v):
        need(v in options, f"not one of {options}: {v!r}")
    return check


HASH, SALT = hexes(64), hexes(32)
PROOF = array(HASH)
PIN = members(leaf=whole(0), salt=SALT, proof=PROOF)
DICE = members(faces=array(whole(2, 1000), 1), reading_=line)
SOURCE = members(
    name=line, how=line, at=moment, form=either("whole", "decimal", "text"), count=whole(1, 100),
    low_=whole(1, 10**12), high_=whole(1, 10**12), distinct_=just(True), bits=whole(1, 128))
PLAN = members(
    draw=line, challenge=line, rehearsal_=just(True), method=either("dice", "seeds", "public"),
    dice_=DICE,
    seeds_=members(parties=array(line, 2), commit_by=moment, reveal_by=moment, later_=SOURCE),
    sources_=array(SOURCE, 1), fallback_=DICE, places=whole(1), announced_at=moment, frozen_at=moment,
    release_at_=moment, announcements_=array(members(at=moment, what=line), 1),
    roster=members(entries=whole(2), tickets=whole(2), root=HASH))
TICKET = members(number=whole(1), weight=whole(1), commitment=HASH)
COMMON = dict(n=whole(1), at=moment, by=line)
EVENTS = {
    "roll": members(kind=just("roll"), place=whole(1), dice=array(whole(1), 1), **COMMON),
    "confirm": members(kind=just("confirm"), roll=whole(1), **COMMON),
    "commit": members(kind=just("commit"), party=line, commitment=HASH, **COMMON),
    "reveal": members(kind=just("reveal"), party=line, nonce=SALT, secret=line, **COMMON),
    "source": members(kind=just("source"), source=whole(1), values=array(text, 1), **COMMON),
    "void": members(kind=just("void"), reason=line, **COMMON),
}


def event(v):
    need(type(v) is dict and v.get("kind") in EVENTS, "an event of no known kind")
    EVENTS[v["kind"]](v)


STEP = members(
    place=whole(1), way=either("roll", "hmac", "md5", "only one left"), tickets=whole(1), rolls_=array(whole(1), 1),
    counter=whole(0), digest_=text, value=whole(0), limit=whole(0), index=whole(-1), number=whole(0))
RECORD = members(
    version=just(1), plan=PLAN, roster=array(TICKET, 2), events=array(event), steps=array(STEP),
    result=array(whole(1)), void=truth,
    ledger=members(
        checkpoint=text, key=HASH, frozen=PIN, events=array(PIN), outcome_=PIN,
        earlier_=array(members(size=whole(0), root=HASH, proof=PROOF), 1)))


def check_form(data):
    try:
        record = json.loads(data.decode("utf-8"))
    except (ValueError, RecursionError) as e:
        raise Wrong(f"not JSON: {e}") from None
    RECORD(record)
    need(canon(record) == data, "not in canonical form")
    return record


# ---- 3: the list


def leaf_hash(data):
    return sha(b"\x00" + data)


def node(left, right):
    return sha(b"\x01" + left + right)


def tree_hash(hashes):
    if len(hashes) == 1:
        return hashes[0]
    k = 1
    while 2 * k < len(hashes):
        k *= 2
    return node(tree_hash(hashes[:k]), tree_hash(hashes[k:]))


def check_list(record):
    plan, roster = record["plan"], record["roster"]
    need(2 <= len(roster) <= 100_000, "too few or too many entries")
    numbers = [t["number"] for t in roster]
    need(all(a < b for a, b in zip(numbers, numbers[1:])), "the numbers do not rise")
    tickets = sum(t["weight"] for t in roster)
    need(tickets < 2**31 and numbers[-1] < 2**31, "too many tickets")
    leaves = [leaf_hash(f"{t['number']} {t['weight']} {t['commitment']}".encode()) for t in roster]
    found = {"entries": len(roster), "tickets": tickets, "root": tree_hash(leaves).hex()}
    need(found == plan["roster"], f"the plan names another list than {found}")
    made_up = all(
        t["number"] == i and t["commitment"] == sha(f"rehearsal {i}".encode()).hex()
        for i, t in enumerate(roster, 1))
    need(made_up == plan.get("rehearsal", False), "a rehearsal's list is made up, and no other is")


class Pool:
    def __init__(self, roster):
        self.left = [(t["number"], t["weight"]) for t in roster]
        self.tickets = sum(w for _, w in self.left)

    def take(self, index):
        for i, (number, weight) in enumerate(self.left):
            if index < weight:
                del self.left[i]
                self.tickets -= weight
                return number
            index -= weight
        raise Wrong("no such ticket")


# ---- 2: the plan


def combos(dice):
    need(len(dice["faces"]) <= 8 and math.prod(dice["faces"]) <= 1_000_000, "too many dice")
    return math.prod(dice["faces"])


def bounds(source):
    return (source.get("low", 0), source.get("high", 0))


def check_source(source):
    low, high = bounds(source)
    bounded = (low, high) != (0, 0)
    need(low <= high, "a source's bounds are upside down")
    if source["form"] != "whole":
        need(not bounded and "distinct" not in source, "only whole numbers have bounds")
    if source["form"] == "text":
        need(source["count"] == 1, "a source gives one text")
    if bounded:
        m, k = high - low + 1, source["count"]
        ways = math.comb(m, k) if "distinct" in source else Fraction(m**k, math.factorial(k))
        need(2 ** source["bits"] <= ways, "a source is counted with more surprise than it has")


def check_plan(plan, entries):
    method = plan["method"]
    for member, wanted in (("dice", "dice"), ("seeds", "seeds"), ("sources", "public")):
        need((member in plan) == (method == wanted), f"method {method} and {member}")
    need(plan["places"] <= plan["roster"]["entries"], "more places than entries")
    need(plan["announced_at"] <= plan["frozen_at"], "announced after the list was fixed")
    for a in plan.get("announcements", []):
        need(a["at"] <= plan["frozen_at"], "an announcement after the list was fixed")
    for dice in (plan.get("dice"), plan.get("fallback")):
        if dice:
            combos(dice)
    if method != "seeds":
        need("fallback" not in plan, "a fallback without seeds")
    else:
        seeds = plan["seeds"]
        need(len(seeds["parties"]) <= 200 and len(set(seeds["parties"])) == len(seeds["parties"]), "parties")
        need(seeds["commit_by"] < seeds["reveal_by"] and plan["frozen_at"] < seeds["reveal_by"], "times of the seeds")
        need(("fallback" in plan) != ("later" in seeds), "either a fallback or a later value")
        if "later" in seeds:
            check_source(seeds["later"])
            need(seeds["reveal_by"] < seeds["later"]["at"], "the later value is not later")
            need(seeds["later"]["bits"] >= 20, "the later value has too little surprise")
    if method == "public":
        need(len(plan["sources"]) <= 20, "too many sources")
        for s in plan["sources"]:
            check_source(s)
            need(plan["announced_at"] < s["at"] and plan["frozen_at"] < s["at"], "a source that was known before")
        need(plan.get("release_at", "") <= max(s["at"] for s in plan["sources"]), "kept longer than it can be")
        need(entries <= 65_535 and plan["roster"]["tickets"] == entries, "too many tickets for public sources")
        ways = 1
        for i in range(plan["places"]):
            ways *= entries - i
            need(ways <= 2**128, "more places than MD5 can draw")
        need(ways <= 2 ** sum(s["bits"] for s in plan["sources"]), "the sources have too little surprise")


# ---- 7: how a source is written down


def written(source, values):
    need(len(values) == source["count"], "a source gives another count of values")
    if source["form"] == "text":
        need(len(values[0].encode()) <= 300 and not any(unicodedata.category(c) == "Cc" for c in values[0]), "not a text in one line")
        kept = re.sub("[^a-z0-9]", "", re.sub("[A-Z]", lambda m: m[0].lower(), values[0]))
        need(kept, "a text without a letter or digit")
        return kept + "/"
    if source["form"] == "decimal":
        found = []
        for v in values:
            m = re.fullmatch(r"([0-9]{1,30})(?:\.([0-9]{0,30}))?", v)
            need(m, f"not a decimal value: {v!r}")
            found.append((int(m[1]), (m[2] or "").rstrip("0")))
        return "".join(f"{whole}.{fraction}" for whole, fraction in sorted(found)) + "/"
    numbers = []
    for v in values:
        need(re.fullmatch(r"[0-9]{1,30}", v), f"not a whole value: {v!r}")
        numbers.append(int(v))
    low, high = bounds(source)
    if (low, high) != (0, 0):
        need(all(low <= n <= high for n in numbers), "a value out of bounds")
    if "distinct" in source:
        need(len(set(numbers)) == len(numbers), "a value twice")
    return "".join(f"{n}." for n in sorted(numbers)) + "/"


# ---- 4 to 7: the events, and the steps that follow from them


class Draw:
    def __init__(self, record):
        self.plan = record["plan"]
        self.name = self.plan["draw"]
        self.pool = Pool(record["roster"])
        self.steps, self.result = [], []
        self.void = self.done = False
        self.dice = self.plan.get("dice")
        self.rolls = {}
        self.confirmed = set()
        self.pending = []
        seeds = self.plan.get("seeds")
        self.sources = self.plan.get("sources", [])
        if seeds:
            self.commitments, self.reveals = {}, {}
            self.sources = [seeds["later"]] if "later" in seeds else []
        self.values = {}

    def fill(self, step):
        step["number"] = self.pool.take(step["index"])
        self.steps.append(step)
        self.result.append(step["number"])
        self.done = len(self.result) == self.plan["places"]

    def step(self, way, **more):
        base = {"place": len(self.result) + 1, "way": way, "tickets": self.pool.tickets,
                "counter": 0, "value": 0, "limit": 0, "index": -1, "number": 0}
        return base | more

    def apply(self, n, e):
        need(e["n"] == n, f"the number is {e['n']}")
        need(not self.void, "the draw was void before")
        need(not self.done or e["kind"] == "confirm", "every place was filled before")
        if e["kind"] in ("roll", "reveal", "source"):
            need(e["at"] >= self.plan["frozen_at"], "before the list was fixed")
        getattr(self, "do_" + e["kind"])(e)

    # dice

    def do_roll(self, e):
        need(self.dice, "dice are not in force")
        faces = self.dice["faces"]
        need(e["place"] == len(self.result) + 1, "another place is next")
        need(len(e["dice"]) == len(faces), "another count of dice")
        need(all(a <= f for a, f in zip(e["dice"], faces)), "a die shows a face it does not have")
        self.rolls[e["n"]] = e
        self.pending.append(e)
        total, tickets = combos(self.dice), self.pool.tickets
        throws = 1
        while total**throws < tickets:
            throws += 1
        if len(self.pending) < throws:
            return
        value = 0
        for roll in self.pending:
            for a, f in zip(roll["dice"], faces):
                value = value * f + a - 1
        share = total**throws // tickets
        step = self.step("roll", rolls=[r["n"] for r in self.pending], value=value, limit=share * tickets)
        self.pending = []
        if value >= step["limit"]:
            self.steps.append(step)
            return
        step["index"] = value // share
        self.fill(step)
        if not self.done and len(self.pool.left) == 1:
            self.fill(self.step("only one left", index=0))

    def do_confirm(self, e):
        need(e["roll"] in self.rolls, "no such roll")
        need(self.rolls[e["roll"]]["by"] != e["by"], "confirmed by who typed it")
        need((e["roll"], e["by"]) not in self.confirmed, "confirmed twice")
        self.confirmed.add((e["roll"], e["by"]))

    def do_void(self, e):
        if "fallback" in self.plan and not self.dice:
            self.dice = self.plan["fallback"]
        else:
            self.void = True

    # seeds

    def seeds(self, e):
        need(self.plan["method"] == "seeds" and not self.dice, "seeds are not in force")
        need(e["party"] in self.plan["seeds"]["parties"], "no such party")
        return self.plan["seeds"]

    def do_commit(self, e):
        seeds = self.seeds(e)
        need(e["party"] not in self.commitments, "committed twice")
        need(e["at"] <= seeds["commit_by"] and not self.reveals, "committed too late")
        self.commitments[e["party"]] = e["commitment"]

    def do_reveal(self, e):
        seeds = self.seeds(e)
        everyone = len(self.commitments) == len(seeds["parties"])
        need(everyone or e["at"] > seeds["commit_by"], "revealed too early")
        need(e["at"] <= seeds["reveal_by"], "revealed too late")
        need(e["party"] in self.commitments and e["party"] not in self.reveals, "never committed, or revealed twice")
        need("later" in seeds or len(self.commitments) >= 2, "a single commitment")
        lines = ["fairladle seed 1", self.name, e["party"], e["nonce"], e["secret"]]
        need(sha("\n".join(lines).encode()).hex() == self.commitments[e["party"]], "not what was committed to")
        self.reveals[e["party"]] = (e["nonce"], e["secret"])
        if "later" not in seeds and len(self.reveals) == len(self.commitments):
            self.by_seeds("")

    def by_seeds(self, later):
        lines = ["fairladle key 1", self.name, self.plan["roster"]["root"]]
        for party in self.plan["seeds"]["parties"]:
            lines += [party, self.commitments.get(party, "-"), *self.reveals.get(party, ("-", "-"))]
        if later:
            lines.append(later)
        key = sha("".join(x + "\n" for x in lines).encode())
        counter = 0
        while not self.done:
            digest = hmac.new(key, str(counter).encode(), hashlib.sha256).digest()
            value, tickets = int.from_bytes(digest[:4], "big"), self.pool.tickets
            step = self.step("hmac", counter=counter, digest=digest.hex(), value=value, limit=2**32 - 2**32 % tickets)
            if value < step["limit"]:
                step["index"] = value % tickets
                self.fill(step)
            else:
                self.steps.append(step)
            counter += 1

    # public sources

    def do_source(self, e):
        need(not self.dice and e["source"] <= len(self.sources), "no such source")
        source = self.sources[e["source"] - 1]
        need(e["at"] >= source["at"], "typed before it appeared")
        need(e["source"] not in self.values, "typed twice")
        self.values[e["source"]] = written(source, e["values"])
        if len(self.values) < len(self.sources):
            return
        key = "".join(self.values[i + 1] for i in range(len(self.sources)))
        if self.plan["method"] == "seeds":
            self.by_seeds(key)
            return
        counter = 0
        while not self.done:
            c = counter.to_bytes(2, "big")
            digest = hashlib.md5(c + key.encode() + c).digest()
            index = int.from_bytes(digest, "big") % self.pool.tickets
            self.fill(self.step("md5", counter=counter, digest=digest.hex(), index=index))
            counter += 1


def check_events(record):
    draw = Draw(record)
    for n, e in enumerate(record["events"], 1):
        try:
            draw.apply(n, e)
        except Wrong as w:
            raise Wrong(f"event {n}: {w}") from None
    return draw


def check_steps(draw, record):
    for n, (found, said) in enumerate(zip(draw.steps, record["steps"]), 1):
        need(found == said, f"step {n} should be {canon(found).decode()}")
    need(len(draw.steps) == len(record["steps"]), f"there should be {len(draw.steps)} steps")


def check_result(draw, record):
    need(draw.done or draw.void, "the draw is neither finished nor void")
    need(draw.void == record["void"], "whether the draw is void is told wrongly")
    need(record["result"] == ([] if draw.void else draw.result), f"the result should be {draw.result}")


# ---- 8: the ledger


def check_inclusion(index, size, leaf, proof, root):
    """RFC 9162, section 2.1.3.2."""
    need(index < size, "a leaf behind the end of the ledger")
    fn, sn, r = index, size - 1, leaf
    for p in map(bytes.fromhex, proof):
        need(sn != 0, "a proof that is too long")
        if fn & 1 or fn == sn:
            r = node(p, r)
            while not fn & 1 and fn != 0:
                fn, sn = fn >> 1, sn >> 1
        else:
            r = node(r, p)
        fn, sn = fn >> 1, sn >> 1
    need(sn == 0 and r == root, "the proof does not lead to the root")


def check_consistency(first, first_root, second, second_root, proof):
    """RFC 9162, section 2.1.4.2; equal sizes and the empty tree besides."""
    need(first <= second, "an earlier head that is larger")
    path = [bytes.fromhex(p) for p in proof]
    if first == 0 or first == second:
        wanted = sha(b"") if first == 0 else second_root
        need(not path and first_root == wanted, "the heads differ")
        return
    need(path, "a proof that is too short")
    if first & (first - 1) == 0:
        path.insert(0, first_root)
    fn, sn = first - 1, second - 1
    while fn & 1:
        fn, sn = fn >> 1, sn >> 1
    fr = sr = path[0]
    for c in path[1:]:
        need(sn != 0, "a proof that is too long")
        if fn & 1 or fn == sn:
            fr, sr = node(c, fr), node(c, sr)
            while not fn & 1 and fn != 0:
                fn, sn = fn >> 1, sn >> 1
        else:
            sr = node(sr, c)
        fn, sn = fn >> 1, sn >> 1
    need(sn == 0 and fr == first_root and sr == second_root, "the ledger does not continue an earlier head")


def read_note(record):
    note = record["ledger"]["checkpoint"]
    parts = note.split("\n")
    need(len(parts) == 6 and parts[3] == "" and parts[5] == "", "not a signed note")
    origin, size = parts[0], parts[1]
    need(origin and not re.search(r"[\s+]", origin) and re.fullmatch("0|[1-9][0-9]*", size), "not a checkpoint")
    try:
        root = base64.b64decode(parts[2], validate=True)
    except ValueError:
        raise Wrong("the root is not base64") from None
    need(len(root) == 32 and base64.b64encode(root).decode() == parts[2], "the root is not base64 of 32 bytes")
    return origin, int(size), root, parts[4], "\n".join(parts[:3]) + "\n"


def check_signature(record):
    origin, _, _, signature, text_signed = read_note(record)
    prefix = f"— {origin} "
    need(signature.startswith(prefix), "the signature is by another name")
    try:
        raw = base64.b64decode(signature[len(prefix):], validate=True)
    except ValueError:
        raise Wrong("the signature is not base64") from None
    need(base64.b64encode(raw).decode() == signature[len(prefix):], "the signature is not base64")
    key = bytes.fromhex(record["ledger"]["key"])
    need(raw[:4] == sha(origin.encode() + b"\n\x01" + key)[:4], "the signature is by another key")
    need(ed25519_verify(key, text_signed.encode(), raw[4:]), "the signature does not hold")


def check_pin(record, pin, body):
    _, size, root, _, _ = read_note(record)
    commitment = sha(bytes.fromhex(pin["salt"]) + canon(body))
    check_inclusion(pin["leaf"], size, leaf_hash(commitment), pin["proof"], root)


def check_pins(record):
    pins, events, name = record["ledger"]["events"], record["events"], record["plan"]["draw"]
    need(len(pins) == len(events), "not one proof for each event")
    last = -1
    for pin, e in zip(pins, events):
        check_pin(record, pin, {"draw": name, "event": e})
        need(pin["leaf"] > last, f"event {e['n']} stands before the one it follows")
        if e["kind"] in ("roll", "confirm", "reveal", "source"):
            need(pin["leaf"] > record["ledger"]["frozen"]["leaf"], f"event {e['n']} stands before the list was fixed")
        last = pin["leaf"]


def check_outcome(record):
    pin = record["ledger"].get("outcome")
    if pin is None:
        need("release_at" not in record["plan"] or record["void"], "no sealed outcome is shown")
        return
    check_pin(record, pin, {"draw": record["plan"]["draw"], "result": record["result"]})
    for other, e in zip(record["ledger"]["events"], record["events"]):
        need(e["kind"] == "confirm" or other["leaf"] < pin["leaf"], "sealed before an event it follows from")


def check_earlier(record):
    _, size, root, _, _ = read_note(record)
    for e in record["ledger"].get("earlier", []):
        check_consistency(e["size"], bytes.fromhex(e["root"]), size, root, e["proof"])


# ---- Ed25519, RFC 8032, section 5.1 (slow, and for public values only)

P = 2**255 - 19
L = 2**252 + 27742317777372353535851937790883648493
D = -121665 * pow(121666, P - 2, P) % P
SQRT_M1 = pow(2, (P - 1) // 4, P)


def point_add(p, q):
    a, b = (p[1] - p[0]) * (q[1] - q[0]) % P, (p[1] + p[0]) * (q[1] + q[0]) % P
    c, d = 2 * p[3] * q[3] * D % P, 2 * p[2] * q[2] % P
    e, f, g, h = b - a, d - c, d + c, b + a
    return (e * f % P, g * h % P, f * g % P, e * h % P)


def point_mul(s, p):
    q = (0, 1, 1, 0)
    while s:
        if s & 1:
            q = point_add(q, p)
        p, s = point_add(p, p), s >> 1
    return q


def point_x(y, sign):
    if y >= P:
        return None
    x2 = (y * y - 1) * pow(D * y * y + 1, P - 2, P) % P
    x = pow(x2, (P + 3) // 8, P)
    if (x * x - x2) % P:
        x = x * SQRT_M1 % P
    if (x * x - x2) % P or (x == 0 and sign):
        return None
    return P - x if x & 1 != sign else x


def point_read(data):
    y = int.from_bytes(data, "little")
    sign, y = y >> 255, y & (2**255 - 1)
    x = point_x(y, sign)
    return None if x is None else (x, y, 1, x * y % P)


BASE = point_read((4 * pow(5, P - 2, P) % P).to_bytes(32, "little"))


def ed25519_verify(key, message, signature):
    if len(signature) != 64:
        return False
    a, r = point_read(key), point_read(signature[:32])
    s = int.from_bytes(signature[32:], "little")
    if a is None or r is None or s >= L:
        return False
    h = int.from_bytes(hashlib.sha512(signature[:32] + key + message).digest(), "little") % L
    left, right = point_mul(s, BASE), point_add(r, point_mul(h, a))
    return (left[0] * right[2] - right[0] * left[2]) % P == 0 and (left[1] * right[2] - right[1] * left[2]) % P == 0


# ---- 9: what to claim

CANNOT_SHOW = """It cannot show that a typed roll is the one that was filmed, that the dice are fair, that a public value was typed
as it was published, who the parties are, that the list is complete, what the clock said, or that this is the only
draw. No head was compared: do that with one kept elsewhere."""


def verify(data):
    """Returns a list of (claim, None or what is wrong)."""
    claims = []

    def claim(what, check, *args):
        try:
            value = check(*args)
            claims.append((what, None))
            return value
        except Wrong as w:
            claims.append((what, str(w)))
            return None

    record = claim("it is a draw record in canonical form", check_form, data)
    if record is None:
        return claims
    claim("the plan fits its method", check_plan, record["plan"], len(record["roster"]))
    claim("the list is the one the plan names", check_list, record)
    draw = None
    if all(wrong is None for _, wrong in claims):
        draw = claim("every event was allowed when it came", check_events, record)
    if draw is not None:
        claim("the steps follow", check_steps, draw, record)
        claim("the result follows", check_result, draw, record)
    claim("the head is signed with the key in the record", check_signature, record)
    claim("plan and list were fixed in the ledger",
          lambda: check_pin(record, record["ledger"]["frozen"], {"frozen": record["plan"]}))
    claim("every event stands in the ledger, in order", check_pins, record)
    claim("the outcome sealed before the release is this one", check_outcome, record)
    claim("the ledger continues its earlier heads", check_earlier, record)
    return claims


def main(args):
    brief = args[:1] == ["--brief"]
    files = args[1:] if brief else args
    if not files:
        print(__doc__)
        return 2
    status = 0
    for name in files:
        with open(name, "rb") as f:
            claims = verify(f.read())
        wrong = [f"{what}: {why}" for what, why in claims if why is not None]
        status = status or int(bool(wrong))
        if brief:
            print(("WRONG " + name + " " + wrong[0].splitlines()[0]) if wrong else "HOLDS " + name)
            continue
        print(name)
        for what, why in claims:
            print("  holds:" if why is None else "  WRONG:", what + ("" if why is None else ": " + why))
        print(CANNOT_SHOW)
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
