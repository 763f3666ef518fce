"""A receiver of signed messages: notes each as a JSON line, with whether its signature and its time hold.

Prints its port. `--answers` are the codes that it gives in turn, the last again and again; 0 hangs up without one. It checks
with nothing of ours: HMAC-SHA256 over the time, a full stop and the body, and a window of 300 seconds.
"""

import argparse
import hashlib
import hmac
import json
import ssl
import time
from http.server import BaseHTTPRequestHandler, HTTPServer

parser = argparse.ArgumentParser()
parser.add_argument("log")
parser.add_argument("secret")
parser.add_argument("--answers", default="200")
parser.add_argument("--certificate")
asked = parser.parse_args()
answers = [int(code) for code in asked.answers.split(",")]


class Handler(BaseHTTPRequestHandler):
    def do_POST(self):
        body = self.rfile.read(int(self.headers["Content-Length"]))
        sent = self.headers["Stemwall-Time"]
        wanted = hmac.new(asked.secret.encode(), sent.encode() + b"." + body, hashlib.sha256).hexdigest()
        noted = {
            "holds": hmac.compare_digest("v1=" + wanted, self.headers["Stemwall-Signature"]),
            "fresh": abs(time.time() - int(sent)) <= 300,
            "key": self.headers["Idempotency-Key"],
            "type": self.headers["Content-Type"],
            "path": self.path,
            "body": body.decode(),
        }
        with open(asked.log, "a") as log:
            log.write(json.dumps(noted) + "\n")
        code = answers.pop(0) if len(answers) > 1 else answers[0]
        if code == 0:
            self.close_connection = True
            return
        self.send_response(code)
        if code in (301, 302, 307):
            self.send_header("Location", "/elsewhere")
        self.send_header("Content-Length", "0")
        self.end_headers()

    def log_message(self, *_):
        pass


server = HTTPServer(("127.0.0.1", 0), Handler)
if asked.certificate:
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.load_cert_chain(asked.certificate)
    server.socket = context.wrap_socket(server.socket, server_side=True)
print(server.server_address[1], flush=True)
server.serve_forever()
