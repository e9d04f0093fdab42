"""Secrets that open a door: made at random, shown once, kept only as their digest. Pure."""

import secrets
from hashlib import sha256
from typing import Final

# Letters and digits that are told apart in any hand and on any screen, as RFC 4648 sorts base32.
LETTERS: Final = "abcdefghijklmnopqrstuvwxyz234567"
LENGTH: Final = 26  # of 32 letters each: 130 bits, more than can ever be guessed
CHECK: Final = 2


def new_secret() -> str:
    """A secret nobody can guess, its last two letters a check on how it was copied."""
    body = "".join(secrets.choice(LETTERS) for _ in range(LENGTH))
    return body + _check(body)


def is_whole(secret: str) -> bool:
    """Whether a secret was copied whole and without a slip; nothing is said about whose it is."""
    body, check = secret[:LENGTH], secret[LENGTH:]
    return len(secret) == LENGTH + CHECK and set(body) <= set(LETTERS) and check == _check(body)


def as_copied(text: str) -> str:
    """A secret as it came through messengers and keyboards: capitals and stray ends taken off."""
    return text.strip().strip(".,;:!?)(<>\"'").lower()


def digest(secret: str) -> str:
    """What is kept of a secret: with 130 random bits a plain digest cannot be turned back."""
    return sha256(secret.encode()).hexdigest()


def _check(body: str) -> str:
    number = int.from_bytes(sha256(body.encode()).digest()[:2], "big")
    return LETTERS[number % 32] + LETTERS[number // 32 % 32]
