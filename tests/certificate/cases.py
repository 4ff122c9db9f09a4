"""Certificates of small questions and of the demo, made once; and changes to them."""

import json
from collections.abc import Callable
from functools import cache
from typing import Any

from recommender.answer.answer import Case
from recommender.certificate.check import Held, recheck
from recommender.certificate.records import Certificate
from recommender.certify.certify import certify, criteria_of
from tests.catalogue import build
from tests.cli.run import demo_case
from tests.explain.markets import Asked, asked

# One that fits, one open for its unknown length, and seven ruled out each in its own way.
SHOCKS = (
    build.shock("FITS"),
    build.shock("FITS-TOO", price=140),
    build.shock("OPEN", length_mm=None),
    build.shock("LONG", length_mm=230),
    build.shock("DEAR", price=880),
    build.shock("DEAR-AND-FIRM", price=880, rebound_class="firm", compression_class="firm"),
    build.shock("FIRM", rebound_class="firm", compression_class="firm"),
    build.shock("WIDE", head_eye_width_mm=30, shaft_eye_bore_mm=16),
    build.coil_shock("COIL", spring_seat_mm=38, price=500),
    build.shock("ROUND", end_for_end="yes", body_head_up_mm=70),
)  # fmt: skip


def small(**parts: Any) -> Asked:
    """A question over those shocks that every state comes up in."""
    usual: dict[str, Any] = {
        "shocks": list(SHOCKS),
        "kits": [
            build.kit(), build.kit("KIT-19x8", width_mm=19), build.kit("KIT-22x10", bore_mm=10),
        ],
        "services": [build.service(), build.service("REV-2", rebound_class="firm")],
        "springs": [build.spring(), build.spring("SPR-100", rate_n_per_mm=100)],
    }  # fmt: skip
    bike = {"allows": {"end_for_end": "yes"}}
    return asked(bike, wishes={"budget": {"must": 900}}, **usual | parts)


def case_of(one: Asked) -> Case:
    """The case of a question."""
    return Case(one.question, one.catalogue)


@cache
def small_case() -> Case:
    """The case of the small question."""
    return case_of(small())


@cache
def small_certificate() -> Certificate:
    """Its certificate."""
    return certify(small_case())


@cache
def demo_certificate() -> Certificate:
    """Its certificate."""
    return certify(demo_case())


def checked(certificate: Certificate, case: Case) -> Held:
    """What the checker says to it."""
    asked = criteria_of(case.question.wishes)
    return recheck(certificate, case.question, case.catalogue, asked)


def changed(
    certificate: Certificate, change: Callable[[Any], None], seal: bool = True
) -> Certificate:
    """The certificate with a change made to its JSON; under a fresh seal, so that the claim itself
    is what stands or falls."""
    raw = json.loads(certificate.model_dump_json())
    change(raw)
    made = Certificate.model_validate_json(json.dumps(raw), strict=True)
    return made.sealed() if seal else made
