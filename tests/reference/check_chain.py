#!/usr/bin/env python3
"""Checks the chains of a ledger, and counts what is in it, without any of its own code: standard library only.

Usage: check_chain.py LEDGER.  Prints one line a chain: name, entries, head. Exits 1 with the first entry that is wrong.
Canonical JSON (RFC 8785) of what envelopes and bodies hold (strings, whole numbers, lists, objects with ASCII names) is
what json.dumps gives with sorted keys, no spaces and no ASCII escapes.
"""
import hashlib, json, sqlite3, sys


def canonical(value):
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def sha256(text):
    return hashlib.sha256(text.encode()).hexdigest()


db = sqlite3.connect("file:" + sys.argv[1] + "?mode=ro", uri=True)
chains = db.execute("SELECT chain, property, entries, lower(hex(head)) FROM chains ORDER BY chain").fetchall()
for chain, name, entries, head in chains:
    prev, seq = "0" * 64, 0
    rows = db.execute(
        "SELECT e.seq, lower(hex(e.hash)), e.envelope, b.body FROM entries e LEFT JOIN bodies b USING (chain, seq)"
        " WHERE chain = ? ORDER BY seq", (chain,))
    for seq_stored, hash_stored, text, body in rows:
        seq += 1
        envelope = json.loads(text)
        good = (
            seq_stored == seq and envelope["seq"] == seq and envelope["prev"] == prev and envelope["property"] == name
            and sha256(text) == hash_stored and canonical(envelope) == text
            and (body is None or sha256(body) == envelope["body"] and canonical(json.loads(body)) == body)
            and sorted(envelope) == ["body", "id", "kind", "on", "prev", "property", "recorded", "seq", "v"]
        )
        if not good:
            sys.exit(f"entry {seq} of {name} is not what its hash says")
        prev = hash_stored
    if (seq, prev) != (entries, head):
        sys.exit(f"{name} ends after {seq} entries, not {entries}")
    print(name, seq, prev)
