"""What the settings promise: cookies, the content policy, headers behind HTTPS, hashes and the site's key."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from django.contrib.auth.hashers import PBKDF2PasswordHasher
from django.test import Client

ROOT = Path(__file__).parent.parent.parent
ASKED = """
import json
from yard import settings as s
names = '''DEBUG SESSION_COOKIE_NAME CSRF_COOKIE_NAME SESSION_COOKIE_SECURE CSRF_COOKIE_SECURE SECURE_SSL_REDIRECT
    SECURE_HSTS_SECONDS SESSION_COOKIE_PATH SESSION_COOKIE_DOMAIN PASSWORD_HASHERS'''.split()
print(json.dumps({name: getattr(s, name, None) for name in names}))
"""


@pytest.fixture(scope="module")
def behind_https(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, object], Path]:
    """The settings as a yard behind a proxy has them, and its new data folder."""
    folder = tmp_path_factory.mktemp("yard")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("YARD_", "DJANGO_"))}
    env = kept | {"YARD_DATA": str(folder), "YARD_HTTPS": "1", "YARD_HOSTS": "yard.example"}
    out = subprocess.run([sys.executable, "-c", ASKED], cwd=ROOT, env=env, capture_output=True, check=True)
    return json.loads(out.stdout), folder


def test_behind_https_cookies_are_of_this_host_alone(behind_https):
    """RFC 6265bis, 4.1.3.2: `__Host-` wants Secure, no Domain and the whole path, which Django's defaults are."""
    said, _ = behind_https
    assert (said["SESSION_COOKIE_NAME"], said["CSRF_COOKIE_NAME"]) == ("__Host-session", "__Host-csrf")
    assert said["SESSION_COOKIE_SECURE"] is said["CSRF_COOKIE_SECURE"] is said["SECURE_SSL_REDIRECT"] is True
    assert said["SESSION_COOKIE_PATH"] is said["SESSION_COOKIE_DOMAIN"] is None
    assert said["SECURE_HSTS_SECONDS"] == 365 * 24 * 3600
    assert said["DEBUG"] is False
    assert "__Host-csrf" in (ROOT / "yard" / "static" / "yard" / "phone.js").read_text(encoding="utf-8")


def test_the_key_that_is_made_is_for_its_owner_alone(behind_https):
    _, folder = behind_https
    key = folder / "secret_key"
    assert stat.S_IMODE(key.stat().st_mode) == 0o600
    assert len(key.read_text(encoding="ascii")) >= 50


def test_passwords_are_hashed_slowly(behind_https):
    """Not set: Django's own first, PBKDF2 with SHA-256; 600,000 rounds: OWASP's Password Storage Cheat Sheet."""
    said, _ = behind_https
    assert said["PASSWORD_HASHERS"] is None
    assert PBKDF2PasswordHasher.iterations >= 600_000
    assert PBKDF2PasswordHasher.algorithm == "pbkdf2_sha256"


def test_cookies_as_they_are_sent(cast):
    client = Client()
    client.get("/sign-in/")
    answer = client.post("/sign-in/", {"username": "ben", "password": "ben-knows-the-tide"})
    session, csrf = answer.cookies["sessionid"], answer.cookies["csrftoken"]
    assert (session["httponly"], session["samesite"], csrf["samesite"]) == (True, "Lax", "Lax")
    assert len(session.value) == 32


@pytest.mark.django_db
@pytest.mark.parametrize(
    "address", ["/sign-in/", "/healthz", "/nothing-here/", "/calendar/nobody.ics", "/owner/nobody/"]
)
def test_the_policy_of_every_answer(client, address):
    answer = client.get(address)
    policy = dict(part.strip().split(" ", 1) for part in answer.headers["Content-Security-Policy"].split(";"))
    for name in ("default-src", "object-src", "base-uri", "frame-ancestors"):
        assert policy[name] == "'none'", name
    assert (policy["script-src"], policy["style-src"]) == ("'self'", "'self'")
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert "Access-Control-Allow-Origin" not in answer.headers
