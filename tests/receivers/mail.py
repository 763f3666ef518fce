"""A mail server on this machine, by aiosmtpd, that notes what it took: a JSON line a message.

Prints its port. `--hang STAGE` stands still there with the first message, prints `hanging`, and waits to be killed: `mail`
before the message, `data` when it is there and not noted, `noted` when it is noted and nobody was told so.
"""

import argparse
import asyncio
import json
import ssl
from email import message_from_bytes, policy

from aiosmtpd.smtp import SMTP, AuthResult

parser = argparse.ArgumentParser()
parser.add_argument("log")
parser.add_argument("--port", type=int, default=0)
parser.add_argument("--hang", choices=["mail", "data", "noted"])
parser.add_argument("--password")
parser.add_argument("--certificate")
parser.add_argument("--tls", action="store_true")
asked = parser.parse_args()


class Handler:
    def __init__(self):
        self.hang = asked.hang

    async def stand_still(self, stage):
        if self.hang == stage:
            print("hanging", flush=True)
            await asyncio.sleep(3600)

    async def handle_MAIL(self, server, session, envelope, address, options):
        await self.stand_still("mail")
        envelope.mail_from = address
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):
        await self.stand_still("data")
        message = message_from_bytes(envelope.content, policy=policy.default)
        noted = {
            "id": message["Message-ID"], "subject": message["Subject"], "to": envelope.rcpt_tos,
            "headers": sorted(message.keys()), "text": message.get_content(), "encrypted": server.transport.get_extra_info("ssl_object") is not None,
        }
        with open(asked.log, "a") as log:
            log.write(json.dumps(noted) + "\n")
        await self.stand_still("noted")
        return "250 OK"


def authenticate(server, session, envelope, mechanism, data):
    # Not handled: the server answers by itself.
    return AuthResult(success=data.password.decode() == asked.password, handled=False)


async def serve():
    context = None
    if asked.certificate:
        context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
        context.load_cert_chain(asked.certificate)
    options = {"hostname": "localhost", "enable_SMTPUTF8": False}
    if context and not asked.tls:
        options.update(tls_context=context, require_starttls=True)
    if asked.password:
        options.update(authenticator=authenticate, auth_required=True, auth_require_tls=not asked.tls)
    handler = Handler()
    loop = asyncio.get_running_loop()
    outer = context if asked.tls else None
    server = await loop.create_server(lambda: SMTP(handler, **options), "127.0.0.1", asked.port, ssl=outer)
    print(server.sockets[0].getsockname()[1], flush=True)
    await server.serve_forever()


asyncio.run(serve())
