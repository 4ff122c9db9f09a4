"""What a user may get wrong: one clear message each with its place, all at once, exit code 2,
no traceback, nothing on the standard output, nothing written."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from tests.catalogue import build
from tests.cli.run import run, snapshot

BIKE = """[bike]
mount = "eyelet"
head = { gap_mm = 22, bolt_mm = 8 }
shaft = { gap_mm = 22, bolt_mm = 8 }
sizes = [{ length_mm = 210, stroke_ceiling_mm = 50 }]
leverage = { stroke_mm = 50, ratio_start = 2.86, ratio_end = 2.34 }
"""
RIDER = "[rider]\nmass_with_kit_kg = 80\n"

Parts = Mapping[str, Any]
TABLES: Mapping[str, tuple[Parts, tuple[str, ...]]] = {
    "a key twice": (
        {"shocks": [build.shock("A"), build.shock("B"), build.shock("A")]},
        ("shocks.csv, row 4, part_number: 'A': stands in row 2 already",),
    ),
    "a text for a number": (
        {"kits": [build.kit(width_mm="wide")]},
        ("kits.csv, row 2, width_mm: 'wide': not a number in mm; accepted: 12.5,",),
    ),
    "a decimal comma": (
        {"kits": [build.kit(width_mm="22,2")]},
        ("kits.csv, row 2, width_mm: '22,2':", "a decimal point is wanted, not a comma"),
    ),
    "a unit nobody knows in a cell": (
        {"shocks": [build.shock(length_mm="210 furlong")]},
        ("shocks.csv, row 2, length_mm: '210 furlong': unknown unit 'furlong'; accepted: ", "in"),
    ),
    "a unit nobody knows in a name": (
        {"shocks": [{**build.shock(length_mm=None), "length_furlong": 1}]},
        ("shocks.csv, row 1, length_furlong: unknown unit; accepted: length_", "length_mm"),
    ),
    "a unit of another kind": (
        {"shocks": [build.shock(length_mm="210 psi")]},
        ("shocks.csv, row 2, length_mm: '210 psi': ", "is a pressure, 'mm' a length"),
    ),
    "not a number": (
        {"springs": [build.spring(rate_n_per_mm="NaN")]},
        ("springs.csv, row 2, rate_n_per_mm: 'NaN': ", "accepted"),
    ),
    "infinity": (
        {"springs": [build.spring(rate_n_per_mm="inf")]},
        ("springs.csv, row 2, rate_n_per_mm: 'inf': ", "accepted"),
    ),
    "a number too large to hold": (
        {"springs": [build.spring(rate_n_per_mm="1e999")]},
        ("springs.csv, row 2, rate_n_per_mm: '1e999': the number is too large",),
    ),
    "a negative size": (
        {"shocks": [build.shock(length_mm=-210)]},
        ("shocks.csv, row 2, length_mm: '-210': -210 mm is outside what is accepted: 100 to "
         "350 mm",),
    ),
    "a negative price": (
        {"kits": [build.kit(price=-1)]},
        ("kits.csv, row 2, price: '-1': -1 is outside what is accepted: 0 to 100000",),
    ),
    "a word nobody knows": (
        {"shocks": [build.shock(head_mount="trunion")]},
        ("shocks.csv, row 2, head_mount: 'trunion': accepted: eyelet, trunnion",
         "nearest: trunnion"),
    ),
    "a column nobody knows": (
        {"kits": [{**build.kit(), "widht_mm": 22}]},
        ("kits.csv, row 1, widht_mm: no such field; nearest: width_mm",),
    ),
    "a supplier nobody knows": (
        {"kits": [build.kit(supplier="Barn Lane Part")]},
        ("kits.csv, row 2, supplier: 'Barn Lane Part':", "nearest: Barn Lane Parts"),
    ),
    "a partner nobody knows": (
        {"kits": [build.kit("KIT-A", pairs_with="KIT-B"), build.kit("KIT-C")]},
        ("kits.csv, row 2, pairs_with: 'KIT-B':", "nearest: KIT-"),
    ),
    "a chamber that draws the shock in": (
        {"shocks": [build.shock(negative_area_mm2=1500)]},
        ("shocks.csv, row 2, negative_area_mm2: at pressure_m", "would not extend unladen"),
    ),
    "a stroke over half the length": (
        {"shocks": [build.shock(stroke_mm=106, stroke_settings_mm=None)]},
        ("shocks.csv, row 2, stroke_mm: stroke 106 mm is over half the length 210 mm",),
    ),
    "no shock at all": (
        {"shocks": []},
        ("shocks.csv: the catalogue holds no shock",),
    ),
}  # fmt: skip

Spoil = Callable[[Path], object]
FILES: Mapping[str, tuple[Spoil, tuple[str, ...]]] = {
    "a file is missing": (lambda folder: (folder / "kits.csv").unlink(), ("kits.csv: no such "
                                                                          "file",)),
    "the key's column is missing": (
        lambda folder: (folder / "kits.csv").write_text("width_mm,bore_mm\n22,8\n"),
        ("kits.csv, row 1: the column part_number is missing",),
    ),
    "no text": (
        lambda folder: (folder / "kits.csv").write_bytes(b"part_number\n\xff\xfe\n"),
        ("kits.csv, row 2: byte 0xFF is no UTF-8",),
    ),
    "a row of another length": (
        lambda folder: (folder / "suppliers.csv").write_text(
            "supplier,order_minimum\nBarn Lane Parts,0,7\n"
        ),
        ("suppliers.csv, row 2",),
    ),
}  # fmt: skip

LEVERAGE = "leverage = { stroke_mm = 50, ratio_start = 2.86, ratio_end = 2.34 }"
QUESTIONS: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "no bike": (RIDER, ("question.toml: no table [bike]",)),
    "no TOML": ("[bike\n", ("question.toml, row 1: not valid TOML",)),
    "a key twice": (
        BIKE + RIDER + "mass_with_kit_kg = 81\n",
        ("question.toml, row 9, mass_with_kit_kg: stands in row 8 already",),
    ),
    "a table twice": (
        BIKE + RIDER + "[bike]\n", ("question.toml, row 9, bike: stands in row 1 already",),
    ),
    "a key twice, once in another table's line": (
        BIKE + RIDER + "[wishes]\nbudget = { must = 3 }\nbudget.weight = 1\n",
        ("question.toml, row 11, budget.weight: is given a value elsewhere already",),
    ),
    "a list of tables": (
        "[[bike]]\nmount = 'eyelet'\n" + RIDER,
        ("question.toml, bike: a table [bike] is wanted, not a list",),
    ),
    "a text for a table": (
        'bike = "x"\n' + RIDER, ("question.toml, bike: 'x': a table [bike] is wanted",),
    ),
    "more digits than can be read": (
        BIKE + "# " + "9" * 5000 + "\n[rider]\nmass_with_kit_kg = " + "9" * 5000,
        ("question.toml, row 9: not valid TOML: a number of 5000 digits is too large",),
    ),
    "a whole number too large to hold": (
        BIKE + "[rider]\nmass_with_kit_kg = " + "9" * 400,
        ("question.toml, rider.mass_with_kit_kg: '999", "the number is too large"),
    ),
    "an amount too large to hold": (
        BIKE + RIDER + "[wishes]\nbudget = { must = " + "9" * 400 + " }",
        ("question.toml, wishes.budget.must: '999", "the number is too large"),
    ),
    "brackets within brackets": (
        BIKE + "\nx = [\n" + "[" * 3000, ("question.toml, row 9: nested too deeply",),
    ),
    "a leverage table of lists": (
        BIKE.replace(LEVERAGE, "leverage.table = [[0, 0], [10, 27], [20, 50], [50, 130]]") + RIDER,
        ("question.toml, bike.leverage.table[1]: a table of fields is wanted: { compression_mm = "
         "..., wheel_travel_mm = ... }; 3 more entries likewise",),
    ),
    "a reading that is no number": (
        BIKE.replace(LEVERAGE, 'leverage.table = [{ compression_in = "x", wheel_travel_in = 0 }]')
        + RIDER,
        ("question.toml, bike.leverage.table[1].compression_in: 'x': not a number in mm",),
    ),
    "a wish with a tolerance": (
        BIKE + RIDER + '[wishes]\nreserve_in = { must = "1 +/- 0.1" }\n',
        ("question.toml, wishes.reserve_in.must: '1 +/- 0.1': a plain number is wanted here",),
    ),
    "a wish in two units": (
        BIKE + RIDER + "[wishes]\nmass_g = { must = 500 }\nmass_lb = { must = 1 }\n",
        ("question.toml, wishes.mass_lb: mass_g and mass_lb both give mass_g: keep one",),
    ),
    "a wish in a unit nobody knows": (
        BIKE + RIDER + "[wishes]\nmass_stone = { must = 1 }\n",
        ("question.toml, wishes.mass_stone: unknown unit; accepted: mass_kg, mass_g, mass_lb",),
    ),
    "a field nobody knows": (
        BIKE + RIDER + "mass_wiht_kit_kg = 80\n",
        ("question.toml, rider.mass_wiht_kit_kg: '80': no such field", "mass_with_kit_kg"),
    ),
    "a unit nobody knows in a name": (
        BIKE + "[rider]\nmass_with_kit_stone = 12\n",
        ("question.toml, rider.mass_with_kit_stone: '12': unknown unit; accepted: "
         "mass_with_kit_kg",),
    ),
    "a unit nobody knows in a value": (
        BIKE + '[rider]\nmass_with_kit_kg = "12 stone"\n',
        ("question.toml, rider.mass_with_kit_kg: '12 stone': unknown unit 'stone'; accepted: kg",),
    ),
    "a text for a number": (
        BIKE + '[rider]\nmass_with_kit_kg = "heavy"\n',
        ("question.toml, rider.mass_with_kit_kg: 'heavy': not a number in kg",),
    ),
    "not a number": (
        BIKE + "[rider]\nmass_with_kit_kg = nan\n",
        ("question.toml, rider.mass_with_kit_kg: 'nan': NaN and infinity are not accepted",),
    ),
    "infinity": (
        BIKE + RIDER + "[wishes]\nbudget = { must = inf }\n",
        ("question.toml, wishes.budget.must: 'inf': NaN and infinity are not accepted",),
    ),
    "a negative size": (
        BIKE.replace("gap_mm = 22, ", "gap_mm = -22, ", 1) + RIDER,
        ("question.toml, bike.head.gap_mm: '-22': -22 mm is outside what is accepted: 8 to 80 mm",),
    ),
    "a leverage table that does not rise": (
        BIKE.replace(LEVERAGE, """[bike.leverage]
table = [
  { compression_mm = 0, wheel_travel_mm = 0 },
  { compression_mm = 20, wheel_travel_mm = 55 },
  { compression_mm = 30, wheel_travel_mm = 50 },
  { compression_mm = 50, wheel_travel_mm = 130 },
]""") + RIDER,
        ("question.toml, bike.leverage: leverage table line 3: both columns must rise, but "
         "20, 55 is followed by 30, 50",),
    ),
    "travel that disagrees with the ratios": (
        BIKE.replace("stroke_mm = 50, ", "stroke_mm = 50, travel_mm = 140, ") + RIDER,
        ("question.toml, bike.leverage: the mean of the ratios times the stroke gives 130.0 mm of "
         "travel, travel_mm gives 140.0 mm: they must agree within 2 %",),
    ),
    "a ceiling over half the length": (
        BIKE.replace("stroke_ceiling_mm = 50", "stroke_ceiling_mm = 110") + RIDER,
        ("question.toml, bike: sizes: a stroke ceiling of 110 mm is over half the length of "
         "210 mm",),
    ),
    "a frame nobody knows": (
        BIKE.replace("[bike]", '[bike]\nframe = "bend"') + RIDER,
        ("question.toml, bike.frame: 'bend': no frame of the catalogue has this id; nearest: "
         "bench",),
    ),
    "a fitted shock nobody knows": (
        BIKE + '[bike.present_shock]\npart_number = "AIR-2"\n' + RIDER,
        ("bike.present_shock.part_number: 'AIR-2': no such shock in the catalogue",
         "nearest: AIR-1"),
    ),
    "a tool nobody knows": (
        BIKE + RIDER + 'tools = ["torque wrenches"]\n',
        ("question.toml, rider.tools: 'torque wrenches' is no known tool",
         "nearest: torque wrench"),
    ),
    "a currency without a rate": (
        BIKE + RIDER + '[wishes]\ncurrency = "CHF"\n',
        ("the question, wishes.rates: 'EUR': ", "shocks.csv has prices in EUR: give the rate from "
         "EUR to CHF"),
    ),
    "a criterion nobody knows": (
        BIKE + RIDER + "[wishes.weights]\ncertainity = 1\n",
        ("wishes.weights: 'certainity': no such criterion", "nearest: certainty"),
    ),
}  # fmt: skip
FRAMES = {"bench": BIKE}


def refused(folder: Path, *arguments: object) -> list[str]:
    """The messages with which the command refuses its input, in a folder it must not touch."""
    before = snapshot(folder)
    got = run(*arguments, cwd=folder)
    assert got.returncode == 2, got
    assert got.stdout == ""
    assert "Traceback" not in got.stderr
    assert snapshot(folder) == before
    return got.stderr.splitlines()


def _holds(messages: list[str], parts: tuple[str, ...], path: Path) -> None:
    assert len(messages) == 1, messages
    assert messages[0].startswith(str(path))
    for part in parts:
        assert part in messages[0], messages[0]


@pytest.mark.parametrize("kind", TABLES)
def test_a_wrong_row_is_told_with_its_place(kind: str, tmp_path: Path) -> None:
    parts, wanted = TABLES[kind]
    folder = build.write_catalogue(tmp_path / "parts", **parts)
    messages = refused(tmp_path, "check-catalogue", folder)
    if "draws" in kind:
        assert len(messages) == 2, messages  # at either end of the pressure range
        messages = messages[:1]
    _holds(messages, wanted, folder)


@pytest.mark.parametrize("kind", FILES)
def test_a_wrong_file_is_told(kind: str, tmp_path: Path) -> None:
    spoil, wanted = FILES[kind]
    folder = build.write_catalogue(tmp_path / "parts")
    spoil(folder)
    _holds(refused(tmp_path, "check-catalogue", folder), wanted, folder)


@pytest.mark.parametrize("kind", QUESTIONS)
def test_a_wrong_question_is_told_with_its_place(kind: str, tmp_path: Path) -> None:
    text, wanted = QUESTIONS[kind]
    folder = build.write_catalogue(tmp_path / "parts", frames=FRAMES)
    question = tmp_path / "question.toml"
    question.write_text(text, encoding="utf-8")
    messages = refused(tmp_path, "shortlist", question, "-c", folder)
    assert len(messages) == 1, messages
    for part in wanted:
        assert part in messages[0], messages[0]


def test_all_faults_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    folder = build.write_catalogue(
        tmp_path / "parts",
        shocks=[build.shock("A", length_mm=-1), build.shock("A", head_mount="yes", mass_g="nan")],
        kits=[
            build.kit(width_mm="wide", bore_mm=-8), build.kit("KIT-2", pairs_with="KIT-9"),
            build.kit("KIT-3", supplier="Barn Lane Part"),
        ],
        services=[build.service(supplier="nobody")],
    )
    (folder / "springs.csv").unlink()
    messages = refused(tmp_path, "check-catalogue", folder)
    places = sorted(
        message.removeprefix(f"{folder}/").partition(": ")[0] for message in messages
    )
    assert places == [
        "kits.csv, row 2, bore_mm", "kits.csv, row 2, width_mm", "kits.csv, row 3, pairs_with",
        "kits.csv, row 4, supplier", "services.csv, row 2, supplier",
        "shocks.csv, row 2, length_mm", "shocks.csv, row 3, head_mount",
        "shocks.csv, row 3, mass_g", "shocks.csv, row 3, part_number", "springs.csv",
    ]  # fmt: skip


def test_all_faults_of_a_question_are_told_at_once(tmp_path: Path) -> None:
    folder = build.write_catalogue(tmp_path / "parts")
    bike, rider = tmp_path / "bike.toml", tmp_path / "rider.toml"
    bike.write_text('[bike]\nmount = "eyelets"\nhead = { gap_mm = -1 }\n')
    rider.write_text('[rider]\nmass_with_kit_kg = "?!"\ntaste = "sweet"\n[wish]\n')
    messages = refused(tmp_path, "shortlist", bike, rider, tmp_path / "gone.toml", "-c", folder)
    places = [message.removeprefix(f"{tmp_path}/").partition(": ")[0] for message in messages]
    assert sorted(places) == [
        "bike.toml, bike.head.gap_mm", "bike.toml, bike.mount", "gone.toml",
        "rider.toml, rider.mass_with_kit_kg", "rider.toml, rider.taste", "rider.toml, wish",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (("why", "AIR-2"), ("'AIR-2'", "no such shock", "nearest: AIR-1")),
        (("bundle", "AIR-2"), ("'AIR-2'", "no such shock", "nearest: AIR-1")),
        (("compare", "AIR-2", "AIR-1"), ("'AIR-2'", "no such shock", "nearest: AIR-1")),
    ],
)
def test_an_unknown_shock_is_told_with_the_nearest(
    arguments: tuple[str, ...], wanted: tuple[str, ...], tmp_path: Path
) -> None:
    folder = build.write_catalogue(tmp_path / "parts")
    question = tmp_path / "question.toml"
    question.write_text(BIKE + RIDER)
    messages = refused(tmp_path, *arguments, "-q", question, "-c", folder)
    assert len(messages) == 1
    for part in wanted:
        assert part in messages[0]


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (("shortlist", "-w", "prise=2"), ("'prise'", "nearest: price")),
        (("shortlist", "-w", "price=dear"), ("--weight: 'price=dear'", "'price=2'")),
        (("shortlist", "-w", "price=nan"), ("--weight, price: 'nan'", "0 to 100 is accepted")),
        (("fleet", "plan", "--share", "1.5"), ("--share: '1.5'", "0.5 for half")),
        (("fleet", "plan", "--budget", "-1"), ("--budget: '-1'", "0 or more is accepted")),
        (("fleet", "plan", "--on-hand", "VS-210x5O=1"), ("--on-hand", "nearest: VS-210x55")),
        (("fleet", "spares", "--level", "95"), ("--level: '95'", "such as 0.95")),
        (("fleet", "spares", "--failures", "0"), ("--failures: '0'", "more than 0")),
        (("fleet", "spares", "--lead", "-2"), ("--lead: '-2'", "0 days or more")),
        (("fleet", "rollout", "--yearly", "1"), ("--yearly: '1'", "is wanted")),
        (("shortlist", "-c", "nowhere"), ("nowhere: no such folder",)),
        (("check-catalogue", "nowhere"), ("nowhere: no such folder",)),
    ],
)
def test_a_wrong_argument_is_told(
    arguments: tuple[str, ...], wanted: tuple[str, ...], tmp_path: Path
) -> None:
    messages = refused(tmp_path, *arguments)
    assert len(messages) == 1, messages
    for part in wanted:
        assert part in messages[0], messages[0]


@pytest.mark.parametrize(
    "arguments", [("shortlist", "--upside-down"), ("shortlst",), ("shortlist", "--top", "0")]
)
def test_wrong_usage_is_told(arguments: tuple[str, ...], tmp_path: Path) -> None:
    assert any("Error" in line for line in refused(tmp_path, *arguments))


def test_a_fleet_s_cells_and_what_they_name_are_told_in_one_go(tmp_path: Path) -> None:
    (tmp_path / "own.toml").write_text(BIKE)
    fleet = tmp_path / "fleet.csv"
    fleet.write_text(
        "bike,model,count,rider_mass_with_kit_kg,wishes,condition\n"
        "A,nevelstrand-leda,3,55 to 95,,good\nB,own,two,60 to 90,wish,brokn\nB,own,1,,,good\n"
    )
    messages = refused(tmp_path, "fleet", "plan", fleet)
    wanted = (
        ("row 2, model: 'nevelstrand-leda'", "nearest: nevelstrand-ledda"),
        ("row 3, count: 'two'", "not a plain number"), ("row 3, condition: 'brokn'", "broken"),
        ("row 3, wishes: 'wish'", "no file wish.toml"),
        ("row 4, bike: 'B'", "this name stands in row 3 already"),
        ("row 4, rider_mass_with_kit_kg", "masses are wanted"),
    )  # fmt: skip
    assert len(messages) == len(wanted), messages
    for message, parts in zip(messages, wanted, strict=True):
        assert all(part in message for part in parts), message
