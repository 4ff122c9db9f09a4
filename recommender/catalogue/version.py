"""Which program this is: a digest that no change of code leaves as it was."""

import hashlib
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent


@cache
def code_digest(*packages: str) -> str:
    """Digest of every module of those packages (of all, if none is named), names and bytes."""
    found = [PACKAGE / one for one in packages] or [PACKAGE]
    whole = hashlib.sha256()
    for path in sorted(path for folder in found for path in folder.rglob("*.py")):
        data = path.read_bytes()
        name = path.relative_to(PACKAGE).as_posix().encode()
        whole.update(name + b"\0" + len(data).to_bytes(8, "big") + data)
    return whole.hexdigest()
