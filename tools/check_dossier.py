#!/usr/bin/env python3
"""Checks the chain of a dossier without stemwall. Usage: check_dossier.py FILE [SEAL]"""
import hashlib, json, re, sys, zlib

try:
    data = open(sys.argv[1], "rb").read()
    if data.startswith(b"%PDF-"):
        data = zlib.decompress(re.search(rb"/EmbeddedFile.*?stream\n(.*?)\nendstream", data, re.S).group(1))
    text = data.decode("utf-8")
    block = re.search(r'<script type="application/json" id="stemwall-dossier">(.*?)</script>', text, re.S)
    dossier = json.loads(block.group(1)) if block else json.loads(text)["dossier"]
except OSError as error:
    sys.exit(f"the file cannot be read: {error.strerror}")
except (IndexError, AttributeError, KeyError, TypeError, ValueError, zlib.error):
    sys.exit("this is not a dossier, or one that was cut short")
sha256 = lambda text: hashlib.sha256(text.encode("utf-8")).hexdigest()
prev, seal = "0" * 64, "".join(sys.argv[2:]).lower() or None
for number, entry in enumerate(dossier["entries"], 1):
    envelope = json.loads(entry["envelope"])
    whole = sha256(entry["envelope"]) == entry["hash"] and envelope["prev"] == prev and envelope["seq"] == number
    whole = whole and envelope["property"] == dossier["property"]
    if "body" in entry:
        whole = whole and sha256(entry["body"]) == envelope["body"]
    if not whole:
        sys.exit(f"entry {number} is not what its hash says")
    prev = entry["hash"]
    if prev == seal:
        print(f"your seal covers entries 1 to {number}")
        seal = None
print(f"{number} entries, seal {prev}")
if seal:
    sys.exit("your seal is not in this chain")
