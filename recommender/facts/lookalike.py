"""Names that look the same and are not: other alphabets' letters, wide forms, invisible signs."""

import unicodedata

# Unicode's data of confusable letters (UTS 39), from memory: those that print like Latin ones.
_LETTERS = str.maketrans(
    "АВЕЗКМНОРСТУХІЈЅаеорсухіјѕԁԛԝΑΒΕΖΗΙΚΜΝΟΡΤΥΧοανι",
    "ABE3KMHOPCTYXIJSaeopcyxijsdqwABEZHIKMNOPTYXoavi",
)


def looks(text: str) -> str:
    """What two names share that a reader cannot tell apart: compatibility forms folded (NFKC),
    invisible signs left out, look-alike letters as Latin ones, blanks as one blank."""
    folded = unicodedata.normalize("NFKC", text)
    seen = "".join(c for c in folded if unicodedata.category(c) not in ("Cf", "Cc", "Mn"))
    return " ".join(seen.translate(_LETTERS).split())


def foreign_letter(text: str) -> str:
    """' ('А' is CYRILLIC CAPITAL LETTER A)' for the first letter beyond ASCII; else nothing."""
    odd = next((c for c in text if not c.isascii()), None)
    if odd is None:
        return ""
    name = unicodedata.name(odd, f"U+{ord(odd):04X}")
    return f" ({odd!r} is {name})" if odd.isprintable() else f" (it holds {name})"
