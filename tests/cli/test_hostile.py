"""Texts of a catalogue and of a question are data: a terminal must not obey them."""

from pathlib import Path

import pytest

from tests.catalogue import build
from tests.cli.run import run
from tests.scenarios.scenario import FRAMES, TUNE_CLASSES

MARKUP = "[bold red]free[/] [link=http://a.invalid]here[/link] :bomb: {short} %s"
ESCAPES = "\x1b[2J\x1b]0;owned\x07\x9b31m\u202e"
QUESTION = f"""[bike]
frame = "bench"
name = '{MARKUP}'
[rider]
name = "eve\\u001b[31m\\u202e"
mass_with_kit_kg = 80
"""


@pytest.fixture
def question(tmp_path: Path) -> Path:
    path = tmp_path / "question.toml"
    path.write_text(QUESTION, encoding="utf-8")
    return path


def test_markup_is_shown_as_it_is_written(question: Path, tmp_path: Path) -> None:
    folder = build.write_catalogue(
        tmp_path / "parts",
        shocks=[
            build.shock("GOOD", maker=MARKUP, model="=1+1", source=MARKUP),
            build.shock("BAD", maker=MARKUP, head_mount="trunnion"),
        ],
        tune_classes=TUNE_CLASSES, frames=FRAMES,
    )  # fmt: skip
    for arguments in (("shortlist", question), ("rejections", question)):
        got = run(*arguments, "-c", folder, columns=200)
        assert got.returncode == 0, got
        assert MARKUP in got.stdout
        assert "\x1b" not in got.stdout
    screen = run("shortlist", question, "-c", folder, columns=200, FORCE_COLOR="1").stdout
    assert MARKUP in screen
    assert "\x1b]8" not in screen


def test_escapes_of_a_question_are_not_sent_to_the_terminal(question: Path, tmp_path: Path) -> None:
    folder = build.write_catalogue(tmp_path / "parts", tune_classes=TUNE_CLASSES, frames=FRAMES)
    got = run("shortlist", question, "-c", folder, columns=200)
    assert got.returncode == 0
    assert "eve?[31m?" in got.stdout
    assert not {"\x1b", "\u202e"} & set(got.stdout)


@pytest.mark.parametrize("column", ["maker", "damper", "source"])
def test_escapes_in_a_catalogue_are_refused_or_made_harmless(
    column: str, question: Path, tmp_path: Path
) -> None:
    for text in (ESCAPES, "\u202eevil\u2066\x9b31m"):
        folder = build.write_catalogue(
            tmp_path / "parts", shocks=[build.shock("GOOD", **{column: text})],
            tune_classes=TUNE_CLASSES, frames=FRAMES,
        )  # fmt: skip
        for arguments in (
            ("shortlist", question), ("bundle", "GOOD", "-q", question), ("holds", question),
        ):  # fmt: skip
            got = run(*arguments, "-c", folder, columns=200)
            assert got.returncode in (0, 2), got
            assert "Traceback" not in got.stderr
            assert not {"\x1b", "\x07", "\x9b", "\u202e", "\u2066"} & set(got.stdout + got.stderr)


def test_messages_do_not_send_escapes_either(tmp_path: Path) -> None:
    folder = build.write_catalogue(tmp_path / "parts", shocks=[build.shock(mass_g=ESCAPES)])
    odd = tmp_path / "question\x1b[31m.toml"
    odd.write_text("[bike]\nmount = 7\n")
    for arguments in (("check-catalogue", folder), ("shortlist", odd), ("why", "\x1b[31mA")):
        got = run(*arguments, cwd=tmp_path)
        assert got.returncode == 2
        assert not {"\x1b", "\x07", "\x9b", "\u202e"} & set(got.stdout + got.stderr)
