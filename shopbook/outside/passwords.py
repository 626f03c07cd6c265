"""Passwords and PINs as argon2 hashes; a PIN is keyed with a secret kept outside the database before it is hashed."""

import hashlib
import hmac
import secrets

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

SHORTEST_PASSWORD = 10
"""Letters; a short sentence is better than a clever word (length over composition, as NIST SP 800-63B advises)."""

GUESSED_PINS = frozenset({"0000", "1234"})
"""What anyone tries first (common practice): not taken as a new PIN, and changed at the next sign-in with one."""

_HASHER = PasswordHasher()
_NOBODY = _HASHER.hash(secrets.token_hex(16))


def hash_password(password: str) -> str:
    """A salted argon2id hash."""
    return _HASHER.hash(password)


def is_password(password: str, kept: str | None) -> bool:
    """Whether the password fits the kept hash; takes as long when nobody has that name."""
    try:
        return _HASHER.verify(kept or _NOBODY, password) and kept is not None
    except (VerificationError, InvalidHashError):
        return False


def check_of(secret: bytes) -> str:
    """A value by which a secret is known again and that says nothing of it: 32 hexadecimal figures."""
    return hmac.new(secret, b"which secret this is", hashlib.sha256).hexdigest()[:32]


def hash_pin(pin: str, secret: bytes) -> str:
    """A salted hash of a PIN keyed with the device folder's secret: worth nothing without that file."""
    return hash_password(_keyed(pin, secret))


def is_pin(pin: str, kept: str | None, secret: bytes) -> bool:
    """Whether the PIN fits the kept hash under this secret."""
    return is_password(_keyed(pin, secret), kept)


def _keyed(pin: str, secret: bytes) -> str:
    return hmac.new(secret, pin.encode(), hashlib.sha256).hexdigest()


def make_token() -> str:
    """A random token for a device or a one-time page."""
    return secrets.token_urlsafe(32)


def hash_token(token: str) -> str:
    """What of a token is kept: it is random, so a plain hash is enough."""
    return hashlib.sha256(token.encode()).hexdigest()
