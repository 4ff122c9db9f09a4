"""The digest of the rules that a certificate was made under."""

import hashlib
from functools import cache
from importlib.resources import files

PACKAGES = ("recommender.rules", "recommender.mechanics")


@cache
def rules_digest() -> str:
    """SHA-256 over name and source of every module of the rules and of the mechanics they use."""
    whole = hashlib.sha256()
    for package in PACKAGES:
        for file in sorted(files(package).iterdir(), key=lambda one: one.name):
            if file.name.endswith(".py"):
                # Line ends are the checkout's, not the rules'.
                data = file.read_bytes().replace(b"\r\n", b"\n")
                whole.update(f"{package}/{file.name}".encode() + b"\0")
                whole.update(hashlib.sha256(data).digest())
    return whole.hexdigest()
