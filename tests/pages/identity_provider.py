"""A small OpenID Connect provider on loopback, written for the tests after the standard.

Discovery (OpenID Connect Discovery 1.0, section 4), authorization code with PKCE (RFC 7636, S256),
token and userinfo endpoint, ID tokens signed with RS256 (RFC 7518) and published as JWK (RFC 7517).
It signs in whoever ``who`` says, without asking.
"""

import base64
import hashlib
import json
import secrets
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

import jwt
from cryptography.hazmat.primitives.asymmetric import rsa

CLIENT = "showrest-tests"
SECRET = "a client secret of the tests"


@dataclass
class Provider:
    """Who would be signed in, what was asked, and where the provider listens."""

    who: dict[str, Any] = field(default_factory=dict)
    refuses: bool = False
    address: str = ""
    asked: list[dict[str, str]] = field(default_factory=list)
    codes: dict[str, dict[str, str]] = field(default_factory=dict)
    tokens: dict[str, dict[str, Any]] = field(default_factory=dict)
    key: Any = field(default_factory=lambda: rsa.generate_private_key(65537, 2048))

    def discovery(self) -> dict[str, Any]:
        return {
            "issuer": self.address,
            "authorization_endpoint": f"{self.address}/authorize",
            "token_endpoint": f"{self.address}/token",
            "userinfo_endpoint": f"{self.address}/userinfo",
            "jwks_uri": f"{self.address}/keys",
            "response_types_supported": ["code"],
            "subject_types_supported": ["public"],
            "id_token_signing_alg_values_supported": ["RS256"],
            "token_endpoint_auth_methods_supported": ["client_secret_post"],
            "code_challenge_methods_supported": ["S256"],
        }

    def keys(self) -> dict[str, Any]:
        public = json.loads(jwt.algorithms.RSAAlgorithm.to_jwk(self.key.public_key()))
        return {"keys": [{**public, "kid": "one", "use": "sig", "alg": "RS256"}]}

    def authorize(self, asked: dict[str, str]) -> str:
        """Return where the browser goes next, with a code or with a refusal."""
        self.asked.append(asked)
        back = {"state": asked["state"]}
        if self.refuses:
            back["error"] = "access_denied"
        else:
            back["code"] = secrets.token_urlsafe(16)
            self.codes[back["code"]] = asked
        return f"{asked['redirect_uri']}?{urlencode(back)}"

    def token(self, sent: dict[str, str]) -> tuple[int, dict[str, Any]]:
        """Exchange a code, once, for tokens; client secret and PKCE verifier are checked."""
        asked = self.codes.pop(sent.get("code", ""), None)
        digest = hashlib.sha256(sent.get("code_verifier", "").encode()).digest()
        proof = base64.urlsafe_b64encode(digest).rstrip(b"=").decode()
        good = (
            asked is not None
            and (sent.get("client_id"), sent.get("client_secret")) == (CLIENT, SECRET)
            and sent.get("redirect_uri") == asked["redirect_uri"]
            and asked.get("code_challenge") == proof
        )
        if not good:
            return 400, {"error": "invalid_grant"}
        access = secrets.token_urlsafe(16)
        self.tokens[access] = dict(self.who)
        now = int(time.time())
        claims = {**self.who, "iss": self.address, "aud": CLIENT, "iat": now, "exp": now + 300}
        signed = jwt.encode(claims, self.key, algorithm="RS256", headers={"kid": "one"})
        return 200, {
            "access_token": access,
            "token_type": "Bearer",
            "expires_in": 300,
            "id_token": signed,
        }


def _handler(provider: Provider) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            parts = urlsplit(self.path)
            asked = {name: values[0] for name, values in parse_qs(parts.query).items()}
            if parts.path == "/.well-known/openid-configuration":
                self._say(200, provider.discovery())
            elif parts.path == "/keys":
                self._say(200, provider.keys())
            elif parts.path == "/authorize":
                self.send_response(302)
                self.send_header("Location", provider.authorize(asked))
                self.end_headers()
            elif parts.path == "/userinfo":
                token = self.headers.get("Authorization", "").removeprefix("Bearer ")
                known = provider.tokens.get(token)
                self._say(200 if known else 401, known or {"error": "invalid_token"})
            else:
                self._say(404, {})

        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers.get("Content-Length", "0"))).decode()
            sent = {name: values[0] for name, values in parse_qs(body).items()}
            self._say(*provider.token(sent))

        def _say(self, status: int, body: dict[str, Any]) -> None:
            text = json.dumps(body).encode()
            self.send_response(status)
            self.send_header("Content-Type", "application/json")
            self.send_header("Content-Length", str(len(text)))
            self.end_headers()
            self.wfile.write(text)

        def log_message(self, *_: Any) -> None:
            """Say nothing: the tests say what went wrong."""

    return Handler


@contextmanager
def running_provider() -> Iterator[Provider]:
    """Run the provider on a free port of the loopback address."""
    provider = Provider()
    server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(provider))
    provider.address = f"http://127.0.0.1:{server.server_address[1]}"
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield provider
    finally:
        server.shutdown()
        server.server_close()
        thread.join(timeout=5)
