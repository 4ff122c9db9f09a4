"""A saved certificate, read from its file."""

from pathlib import Path

from pydantic import ValidationError

from recommender.catalogue.source import decode, read_bytes
from recommender.certificate.records import Certificate
from recommender.facts.problems import BadInput, Problem

LARGEST = 256 * 2**20
_MOST_TOLD = 5


def read_certificate(path: Path) -> Certificate:
    """The certificate in that file. Raises BadInput for what is none, or is too large."""
    text = decode(read_bytes(path, LARGEST), str(path))
    try:
        return Certificate.model_validate_json(text, strict=True)
    except ValidationError as error:
        told = error.errors(include_url=False, include_input=False)[:_MOST_TOLD]
        raise BadInput(
            Problem(
                str(path), f"no saved answer: {one['msg']}",
                column=".".join(str(part) for part in one["loc"])[:120],
            )
            for one in told
        ) from None  # fmt: skip
    except (ValueError, RecursionError) as error:
        raise BadInput([Problem(str(path), f"no saved answer: {type(error).__name__}")]) from None
