"""Secrets given to browsers, and the digests that the records keep instead of them."""

from __future__ import annotations

import hashlib
import secrets

# No 0 O 1 I L, no U V and no 2 Z 5 S 8 B: each is misread from a board or misheard across a noisy room.
CODE_ALPHABET = "34679ACDEFGHJKMNPQRTWXY"
CODE_LENGTH = 7
KEY_DIGITS = "23456789"
KEY_LENGTH = 5


def new_token() -> str:
    """A token with 256 bits of chance, for a cookie."""
    return secrets.token_urlsafe(32)


def digest(token: str) -> str:
    """SHA-256 in hex. A token has full entropy, so a fast digest is enough."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def new_join_code() -> str:
    """Seven characters of an unambiguous alphabet: 23⁷, about 3.4 thousand million."""
    return "".join(secrets.choice(CODE_ALPHABET) for _ in range(CODE_LENGTH))


def new_bench_key() -> str:
    """Five easily read digits that let a bench's second phone in (only inside a practical already joined)."""
    return "".join(secrets.choice(KEY_DIGITS) for _ in range(KEY_LENGTH))


def tidy_code(typed: str) -> str:
    """A typed code without spaces and hyphens, in capitals. Nothing is guessed."""
    return "".join(character for character in typed[:200] if character.isalnum()).upper()
