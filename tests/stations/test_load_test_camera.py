"""Load test: what a thermal camera shows, hot spots and emissivity, against published figures."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.load_test import hot_spot as thermography
from stations.load_test.emissivity import Emissivity, emissivity, true_celsius
from stations.load_test.hot_spot import HotSpot, hot_spot
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict

SIMILAR, AMBIENT = "acceptance tests, over a similar part", "acceptance tests, over ambient"


# --- hot spot


def spot(rise: float, load: float = 1, table: str = SIMILAR, exponent: float = 2) -> Finding:
    """A rise over a sibling that itself stands at ambient, so that both rises are the same."""
    return hot_spot(
        HotSpot.model_validate(
            {
                "spot": rise,
                "similar": 0,
                "ambient": 0,
                "load_fraction": load,
                "exponent": exponent,
                "table": table,
            }
        )
    )


@pytest.mark.parametrize(
    ("rise", "load", "exponent", "at_full"),
    [
        (8, 0.5, 1.6, 24.251),
        (8, 0.5, 1.8, 27.858),
        (8, 0.5, 2, 32.0),
        (5, 0.4, 1.6, 21.661),
        (5, 0.4, 1.8, 26.017),
        (5, 0.4, 2, 31.250),
    ],
)
def test_the_rise_at_full_load(rise: float, load: float, exponent: float, at_full: float) -> None:
    """ΔT2 = ΔT1 (I2 / I1)^n, n from 1.6 to 2 (irinfo.org, Infraspection)."""
    assert float(figures(spot(rise, load, exponent=exponent))["at_full_load_k"]) == pytest.approx(at_full, abs=1e-3)


@pytest.mark.parametrize(("exponent", "celsius"), [(2, 48.0), (1.8, 49.936), (1.6, 52.081)])
def test_the_same_law_gives_the_published_part_load_temperature(exponent: float, celsius: float) -> None:
    """Tmax = (Im / Ir)^n × rated rise + ambient (irinfo.org): 60 of 100 A, rated rise 50 K, ambient 30 °C."""
    finding = hot_spot(
        HotSpot(
            spot=celsius,
            similar=30,
            ambient=30,
            load_fraction=0.6,
            exponent=exponent,
            table="acceptance tests, over ambient",
        )
    )
    assert float(figures(finding)["at_full_load_k"]) == pytest.approx(50, abs=2e-3)


@pytest.mark.parametrize(
    ("table", "rise", "name"),
    [
        # ANSI/NETA MTS 100.18 at arpedon.com: 1–3, 4–15, over 15; gaps take the worse row
        (SIMILAR, 0.9, "none"),
        (SIMILAR, 3, "possible"),
        (SIMILAR, 3.5, "probable"),
        (SIMILAR, 15, "probable"),
        (SIMILAR, 15.1, "major"),
        # the same over ambient: 1–10, 11–20, 21–40, over 40
        (AMBIENT, 10, "possible"),
        (AMBIENT, 10.5, "probable"),
        (AMBIENT, 20.5, "deficiency"),
        (AMBIENT, 40, "deficiency"),
        (AMBIENT, 40.1, "major"),
        # military type: 10–25, 25–40, 40–70, 70 and more; a shared end takes the worse row
        ("military type", 24.9, "slight"),
        ("military type", 25, "moderate"),
        ("military type", 40, "serious"),
        ("military type", 70, "critical"),
        # by experience: 1–10, over 10–20, over 20–40, over 40
        ("by experience", 10.5, "moderate"),
        ("by experience", 20, "moderate"),
        ("by experience", 40.1, "critical"),
        # PIM Ltd: below 5, below 20, over 20, over 40; below 20, below 40, over 40, over 60
        ("survey, between phases", 5, "moderate"),
        ("survey, between phases", 20, "serious"),
        ("survey, over ambient", 20, "moderate"),
        ("survey, over ambient", 60.1, "critical"),
    ],
)
def test_classes_gaps_and_shared_ends(table: str, rise: float, name: str) -> None:
    assert figures(spot(rise, table=table))["class"] == name


def test_both_rises_are_shown() -> None:
    found = figures(hot_spot(HotSpot(spot=61, similar=52, ambient=24, load_fraction=1)))
    assert (found["over_similar_k"], found["over_ambient_k"]) == (9, 37)


def test_below_half_load_a_pass_is_undecided_but_a_fault_is_a_fault() -> None:
    """PIM Ltd: survey at 50 % load or more; 5 K at 40 % is a weak extrapolation."""
    weak = spot(0.1, 0.4)
    assert weak.verdict is Verdict.UNDECIDED
    assert "measure again with more" in weak.says
    assert spot(0.1, 0.5).verdict is Verdict.PASS
    assert spot(5, 0.4).verdict is Verdict.FAIL


def test_an_overload_does_not_excuse_what_was_seen() -> None:
    assert figures(spot(16, 1.5))["class"] == "major"


def test_the_form_offers_exactly_the_tables_of_the_data_file() -> None:
    names = tuple(table.name for table in thermography.limits().table)
    assert get_args(HotSpot.model_fields["table"].annotation) == names


@settings(max_examples=200)
@given(
    st.floats(-40, 500),
    st.floats(0, 100),
    st.floats(0.3, 1.5),
    st.sampled_from([table.name for table in thermography.limits().table]),
)
def test_hotter_is_never_classed_better(rise: float, more: float, load: float, table: str) -> None:
    rows = next(one for one in thermography.limits().table if one.name == table).row
    order = [row.class_ for row in rows]
    cool, hot = (figures(spot(one, load, table))["class"] for one in (rise, rise + more))
    assert order.index(str(cool)) <= order.index(str(hot))


def test_a_camera_set_to_one_is_put_right_for_both() -> None:
    """60 and 33 °C at an emissivity of 0.95 with 20 °C mirrored are 61.742 and 33.640 °C."""
    seen = HotSpot(spot=60, similar=33, ambient=24, load_fraction=1, emissivity=0.95, reflected=20)
    found = figures(hot_spot(seen))
    assert float(found["over_similar_k"]) == pytest.approx(61.742 - 33.640, abs=2e-3)
    assert float(found["over_ambient_k"]) == pytest.approx(61.742 - 24, abs=1e-3)
    mirrored = seen.model_copy(update={"ambient": 20.0, "reflected": None})
    assert float(figures(hot_spot(mirrored))["over_ambient_k"]) == pytest.approx(41.742, abs=1e-3)


def test_a_camera_on_bare_metal_passes_nothing() -> None:
    bare = HotSpot(spot=40, similar=40, ambient=24, load_fraction=1, emissivity=0.3)
    assert hot_spot(bare).verdict is Verdict.UNDECIDED
    assert "patch" in hot_spot(bare).says
    assert hot_spot(bare.model_copy(update={"emissivity": 0.5})).verdict is Verdict.PASS


def test_what_is_mirrored_says_nothing_without_the_emissivity() -> None:
    with pytest.raises(ValidationError, match="emissivity too"):
        HotSpot(spot=40, similar=40, ambient=24, load_fraction=1, reflected=20)


# --- emissivity


def seen(apparent: float, share: float, reflected: float, camera: float = 1) -> Finding:
    return emissivity(Emissivity(apparent=apparent, emissivity=share, reflected=reflected, camera_emissivity=camera))


@pytest.mark.parametrize(
    ("apparent", "share", "reflected", "true", "verdict"),
    [
        (60, 0.95, 20, 61.742, "pass"),
        (33, 0.95, 20, 33.640, "pass"),
        (80, 0.3, 25, 154.376, "undecided"),
        (55, 0.1, 25, 187.009, "undecided"),
    ],
)
def test_true_temperature(apparent: float, share: float, reflected: float, true: float, verdict: str) -> None:
    """T = ((T_app⁴ − (1 − ε) T_refl⁴) / ε)^¼, irinfo.org (Infraspection)."""
    finding = seen(apparent, share, reflected)
    assert float(figures(finding)["true_c"]) == pytest.approx(true, abs=1e-3)
    assert finding.verdict == verdict


def test_the_edge_of_what_a_camera_says_is_taken() -> None:
    assert seen(80, 0.5, 25).verdict is Verdict.PASS
    assert seen(80, math.nextafter(0.5, 0), 25).verdict is Verdict.UNDECIDED


def test_in_a_room_of_its_own_temperature_the_emissivity_does_not_matter() -> None:
    assert float(figures(seen(25, 0.5, 25))["true_c"]) == pytest.approx(25, abs=1e-9)


@pytest.mark.parametrize(("share", "true"), [(0.6, 77.953), (0.3, 116.314)])
def test_a_camera_that_was_set_to_another_emissivity(share: float, true: float) -> None:
    """Set to 0.95 it shows 60 °C with 20 °C mirrored."""
    assert float(figures(seen(60, share, 20, 0.95))["true_c"]) == pytest.approx(true, abs=1e-3)


def test_what_no_surface_can_show_is_refused() -> None:
    with pytest.raises(InputError, match="cannot show"):
        seen(10, 0.1, 80)
    with pytest.raises(ValidationError):
        seen(-274, 0.95, 20)


@settings(max_examples=200)
@given(st.floats(-50, 500), st.floats(0.05, 1), st.floats(-50, 200))
def test_the_balance_closes(true: float, share: float, reflected: float) -> None:
    """What the surface sends and what it mirrors make up what the camera sees."""
    both = share * (true + 273.15) ** 4 + (1 - share) * (reflected + 273.15) ** 4
    assert true_celsius(math.sqrt(math.sqrt(both)) - 273.15, share, reflected) == pytest.approx(true, abs=1e-3)
