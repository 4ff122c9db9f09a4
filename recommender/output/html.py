"""What the pages and papers share: their colours, how a sheet is read, what a page may load."""

import base64
import hashlib
import re
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from recommender.answer.names import rule_label
from recommender.answer.numbers import amount, whole
from recommender.output.parts import part_words, priced
from recommender.output.screen import INVENTED, safe

_KEY = re.compile(r"[A-Za-z0-9.]+(?:-[A-Za-z0-9.]+)+")
_SHORT = 24
"""Part numbers up to so long stay on one line of a phone."""


def keys(text: str) -> Markup:
    """The text with its part numbers kept from breaking at their hyphens."""

    def kept(match: re.Match[str]) -> str:
        key = match[0]
        one_line = len(key) <= _SHORT and any(sign.isdigit() for sign in key)
        return f'<span class="part-number">{key}</span>' if one_line else key

    return Markup(_KEY.sub(kept, str(escape(safe(text)))))


def sheet(package: str, name: str) -> str:
    """The style sheet of that package, the colours of all before it."""
    return own_sheet("recommender.output", "colours.css") + own_sheet(package, name)


def own_sheet(package: str, name: str) -> str:
    """The style sheet of that package alone."""
    return files(package).joinpath(name).read_text("utf-8")


def css_text(text: str) -> str:
    """Any text as a string of a style sheet: all but letters and digits of ASCII escaped."""
    plain = (c if c.isascii() and c.isalnum() else f"\\{ord(c):x} " for c in safe(text))
    return f'"{"".join(plain)}"'


def policy(script: str, style: str) -> str:
    """A content policy: this script and this style run, nothing else does, nothing is fetched."""
    one, other = (
        base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
        for text in (script, style)
    )
    return (
        f"default-src 'none'; script-src 'sha256-{one}'; style-src 'sha256-{other}'; "
        "base-uri 'none'; form-action 'none'"
    )


def environment(package: str) -> Environment:
    """Templates of a package; everything put into them is escaped, control characters shown as
    '?', and nothing undefined passes."""
    made = Environment(
        loader=PackageLoader(package),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: safe(value) if type(value) is str else value,
    )
    made.filters["label"] = rule_label
    made.filters["keys"] = keys
    made.filters["part_words"] = lambda part: keys(part_words(part))
    made.globals |= {"INVENTED": INVENTED, "whole": whole, "priced": priced, "amount": amount}
    return made
