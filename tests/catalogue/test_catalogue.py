"""A catalogue's folder: read whole, checked across columns and tables."""

from pathlib import Path
from typing import Any

import pytest

from recommender.catalogue.catalogue import read_catalogue
from recommender.facts.problems import BadInput, Problem
from recommender.facts.tables import TABLES
from tests.catalogue.build import (
    ALL_JOBS,
    TASTES,
    TUNE_CLASSES,
    coil_shock,
    kit,
    shock,
    spring,
    tune_class,
    write_catalogue,
)


def faulted(folder: Path, **tables: Any) -> list[Problem]:
    with pytest.raises(BadInput) as caught:
        read_catalogue(write_catalogue(folder, **tables))
    return list(caught.value.problems)


def told(folder: Path, *shocks: dict[str, Any]) -> list[tuple[int | None, str, str]]:
    return [(p.row, p.column, p.message) for p in faulted(folder, shocks=shocks)]


def test_a_sound_catalogue(tmp_path: Path) -> None:
    frame = '[bike]\nname = "Hill"\nmount = "eyelet"\n[bike.head]\ngap_in = 0.866\n'
    catalogue = read_catalogue(write_catalogue(tmp_path, frames={"hill": frame}))
    assert [len(getattr(catalogue, name)) for name in TABLES] == [1, 1, 1, 1, 3, 3, 8, 1]
    assert catalogue.folder == tmp_path
    assert catalogue.frames["hill"].bike.head.gap_mm.low == pytest.approx(21.9964)
    assert catalogue.shocks.file == str(tmp_path / "shocks.csv")


def test_the_digest_follows_every_byte(tmp_path: Path) -> None:
    def digest(folder: str, **tables: Any) -> str:
        return read_catalogue(write_catalogue(tmp_path / folder, **tables)).digest

    first = digest("a")
    assert len(first) == 64
    assert first == digest("b")
    assert first != digest("c", shocks=[shock(mass_g=421)])
    assert first != digest("d", frames={"hill": "[bike]\n"})
    assert digest("e", frames={"hill": "[bike]\n"}) != digest("f", frames={"dale": "[bike]\n"})


def test_problems_of_all_files_together(tmp_path: Path) -> None:
    write_catalogue(
        tmp_path,
        shocks=[shock(mass_g="heavy")],
        kits=[kit(kind="bolt"), kit("B", supplier="Barn Lane")],
        frames={"hill": "[bike]\nmount = 3\n", "dale": "[bike\n"},
    )
    (tmp_path / "springs.csv").unlink()
    with pytest.raises(BadInput) as caught:
        read_catalogue(tmp_path)
    places = [(Path(p.file).name, p.row, p.column) for p in caught.value.problems]
    assert places == [
        ("shocks.csv", 2, "mass_g"),
        ("kits.csv", 2, "kind"),
        ("kits.csv", 3, "supplier"),
        ("springs.csv", None, ""),
        ("dale.toml", 1, ""),
        ("hill.toml", None, "bike.mount"),
    ]


def test_no_folder(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no such folder"):
        read_catalogue(tmp_path / "none")


def test_stroke_and_settings_within_half_the_length(tmp_path: Path) -> None:
    assert told(
        tmp_path,
        shock("A", length_mm=110, stroke_mm=60, stroke_settings_mm=""),
        shock("B", length_mm=110, stroke_mm=55, stroke_settings_mm="50;57.5"),
        shock("C", length_mm="", stroke_mm=110),
        shock("D", length_mm="110 +/- 2", stroke_mm="56 +/- 1"),
        shock("E", stroke_mm=50, stroke_settings_mm="52.5"),
    ) == [
        (2, "stroke_mm", "stroke 60 mm is over half the length 110 mm"),
        (3, "stroke_settings_mm", "setting 57.5 mm is over half the length 110 mm"),
    ]


def test_ranges_run_forward(tmp_path: Path) -> None:
    assert told(
        tmp_path,
        shock("A", pressure_min_psi=300, pressure_max_psi=200),
        shock("B", rebound_low_n_s_per_m=3000, rebound_high_n_s_per_m=2000),
        shock("C", compression_low_n_s_per_m=900, compression_high_n_s_per_m=800),
        coil_shock("D", preload_turns_min=2, preload_turns_max=1),
        coil_shock("E", spring_length_min_mm=150, spring_length_max_mm=120),
        shock("F", preload_turns_min=2, preload_turns_max=1),
        coil_shock("G", pressure_min_psi=300, pressure_max_psi=200),
        shock("H", pressure_min_psi="200 +/- 5", pressure_max_psi="198 +/- 5"),
    ) == [
        (2, "pressure_min_psi", "pressure_min_psi 300 is over pressure_max_psi 200"),
        (3, "rebound_low_n_s_per_m",
         "rebound_low_n_s_per_m 3000 is over rebound_high_n_s_per_m 2000"),
        (4, "compression_low_n_s_per_m",
         "compression_low_n_s_per_m 900 is over compression_high_n_s_per_m 800"),
        (5, "preload_turns_min", "preload_turns_min 2 is over preload_turns_max 1"),
        (6, "spring_length_min_mm", "spring_length_min_mm 150 is over spring_length_max_mm 120"),
    ]  # fmt: skip


def test_a_chamber_that_does_not_hold_the_shock_extended(tmp_path: Path) -> None:
    """By hand, absolute p0 = (198.3 psi = 1367.23 kPa) + 101.325 kPa = 1468.56 kPa.

    p+ at 4 mm: 1468.56 x 150 / (150 - 6.8) = 1538.29 kPa. A_n 1500 mm2: p- at 0 = 1538.29 x
    (30 + 6) / 30 = 1845.95 kPa, F = 1.7 x (1468.56 - 101.325) - 1.5 x (1845.95 - 101.325)
    = -292.6 N [D]; with A_n 1200 F is +259 N at 171.1 psi. Both signs stand among the design's
    check values too.
    """
    rows = told(
        tmp_path,
        shock("A", negative_area_mm2=1500, pressure_min_psi="", pressure_max_psi=198.3),
        shock("B", negative_area_mm2=1500, pressure_min_psi=198.3, pressure_max_psi=198.3),
        shock("C", negative_area_mm2="1500 +/- 20"),
        shock("D", negative_area_mm2=1500, chamber_cm3=""),
        shock("E", negative_area_mm2=0),
        coil_shock("F", **{k: v for k, v in shock().items() if k.startswith(("neg", "pis"))}),
        shock("G", chamber_cm3=20, volume_spacers_max=1, piston_area_mm2=5000, equalise_at_mm=5),
    )
    pull = "psi the negative chamber pulls the shock in by 293 N: it would not extend unladen"
    assert rows == [
        (2, "negative_area_mm2", f"at pressure_max_psi 198.3 {pull}"),
        (3, "negative_area_mm2", f"at pressure_min_psi 198.3 {pull}"),
        (3, "negative_area_mm2", f"at pressure_max_psi 198.3 {pull}"),
        (8, "negative_area_mm2", "the positive chamber has no volume left at equalise_at_mm"),
        (8, "negative_area_mm2", "the positive chamber has no volume left at equalise_at_mm"),
    ]


def test_spacers_leave_some_of_the_chamber(tmp_path: Path) -> None:
    """Of 60 cm3, six spacers of 10 cm3 leave nothing; five leave a sixth."""
    takes = {"chamber_cm3": 60, "negative_area_mm2": 0}
    assert told(
        tmp_path,
        shock("A", **takes, volume_spacers_max=6), shock("B", **takes, volume_spacers_max=5),
        shock("C", **takes, volume_spacers_max="5 to 6"),
        shock("D", **takes, volume_spacers_max=8, volume_spacer_cm3=""),
        coil_shock("E", **takes, volume_spacers_max=8, volume_spacer_cm3=10),
        shock("F", **{**takes, "chamber_cm3": "60 +/- 1"}, volume_spacers_max=6),
        shock("G", **takes, volume_spacers_max=3, volume_spacer_cm3=25),
    ) == [
        (2, "volume_spacers_max",
         "so many spacers of 10 cm3 leave nothing of chamber_cm3 60; accepted: 5 or fewer"),
        (8, "volume_spacers_max",
         "so many spacers of 25 cm3 leave nothing of chamber_cm3 60; accepted: 2 or fewer"),
    ]  # fmt: skip


def test_a_coil_is_wider_outside_than_inside(tmp_path: Path) -> None:
    problems = faulted(
        tmp_path,
        springs=[
            spring("A", inner_diameter_mm=52, outer_diameter_mm=36),
            spring("B", inner_diameter_mm=36, outer_diameter_mm=36), spring("C"),
            spring("D", inner_diameter_mm=36, outer_diameter_mm="35.5 to 36.5"),
            spring("E", inner_diameter_mm=52, outer_diameter_mm=""),
        ],
    )  # fmt: skip
    assert [str(p).replace(f"{tmp_path}/", "") for p in problems] == [
        "springs.csv, row 2, inner_diameter_mm: '52': no room for the wire; accepted: less than "
        "outer_diameter_mm 36",
        "springs.csv, row 3, inner_diameter_mm: '36': no room for the wire; accepted: less than "
        "outer_diameter_mm 36",
    ]


def test_names_that_no_table_holds(tmp_path: Path) -> None:
    problems = faulted(
        tmp_path,
        kits=[kit("A", pairs_with="B"), kit("B", pairs_with="AA"), kit("C", supplier="")],
        springs=[spring(supplier="Barn Lan Parts"), spring("S2", supplier="Elsewhere")],
    )
    assert [str(p).replace(f"{tmp_path}/", "") for p in problems] == [
        "kits.csv, row 3, pairs_with: 'AA': no such part_number in kits.csv; nearest: A",
        "springs.csv, row 2, supplier: 'Barn Lan Parts': no such supplier in suppliers.csv; "
        "nearest: Barn Lane Parts",
        "springs.csv, row 3, supplier: 'Elsewhere': no such supplier in suppliers.csv",
    ]


def test_closed_tables_are_complete(tmp_path: Path) -> None:
    problems = faulted(
        tmp_path,
        tune_classes=[*TUNE_CLASSES[:2]],
        tastes=TASTES[1:],
        jobs=[{**ALL_JOBS[0], "tools": "hex keys; torque wrenc"}, *ALL_JOBS[1:-1]],
    )
    shown = [(Path(p.file).name, p.row, p.column, p.value, p.message) for p in problems]
    assert shown[0] == ("tune_classes.csv", None, "tune_class", None, "a row for 'firm' is wanted")
    assert shown[1] == ("tastes.csv", None, "taste", None, "a row for 'plush' is wanted")
    assert shown[2] == ("jobs.csv", None, "job", None, "a row for 'service shock' is wanted")
    assert shown[3][:4] == ("jobs.csv", 2, "tools", "torque wrenc")
    assert shown[3][4].endswith("nearest: torque wrench")


def test_tune_class_bands_run_forward(tmp_path: Path) -> None:
    classes = [
        tune_class("light", 3600, 1500),
        tune_class("medium", 1, 2, shaft_speed_low_m_per_s=0.5),
        tune_class("firm", 1, 2),
    ]
    assert [(p.row, p.column) for p in faulted(tmp_path, tune_classes=classes)] == [
        (2, "rebound_low_n_s_per_m"),
        (2, "compression_low_n_s_per_m"),
        (3, "shaft_speed_low_m_per_s"),
    ]
