"""Writes `ca.pem`, and `server.pem` with a certificate for a name by it and its key, into a folder."""

import sys

import trustme

folder, name = sys.argv[1:]
ca = trustme.CA()
ca.cert_pem.write_to_path(f"{folder}/ca.pem")
ca.issue_cert(name).private_key_and_cert_chain_pem.write_to_path(f"{folder}/server.pem")
