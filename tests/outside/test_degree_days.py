"""Degree-days against published tables and an independent library."""

import pandas as pd
import pytest
from nonlineartemppy import calculations

from core.science import degree_days
from tests.outside import published


def ids(row):
    return "/".join(f"{value:g}" for column, value in row.items() if column in {"low", "high", "next_low"})


# Zalom et al. 1983, UC leaflet 21373, table 7: to the printed digit.
@pytest.mark.parametrize("row", published.rows("zalom_1983_table_7"), ids=ids)
def test_a_day_has_the_degree_days_of_zalom_1983(row):
    low, high, next_low = row["low"], row["high"], row["next_low"]

    got = {
        "single_triangle": degree_days.single_triangle(low, high, 55, cutoff=90),
        "single_sine": degree_days.single_sine(low, high, 55, cutoff=90),
        "double_triangle": degree_days.double_triangle(low, high, next_low, 55, cutoff=90),
        "double_sine": degree_days.double_sine(low, high, next_low, 55, cutoff=90),
    }

    assert got == {name: pytest.approx(row[name] if row[name] is not None else 27.125, abs=0.0050001) for name in got}


# McMaster and Wilhelm 1997, Agric. For. Meteorol. 87:291-300, table 1: exact.
@pytest.mark.parametrize("row", published.rows("mcmaster_wilhelm_1997_table_1"), ids=ids)
def test_a_day_has_the_averages_of_mcmaster_and_wilhelm_1997(row):
    assert degree_days.plain_average(row["low"], row["high"], 0) == row["plain_average"]
    assert degree_days.floored_average(row["low"], row["high"], 0) == row["floored_average"]


# University of California, stations Ojai 2016 and Esparto 2020: to the printed digit.
@pytest.mark.parametrize(
    ("row", "base", "cutoff", "tolerance"),
    [
        *(pytest.param(row, 12, 33, 0.0051, id=f"Ojai {ids(row)}") for row in published.rows("ojai_2016")),
        *(pytest.param(row, 55, 93.9, 0.005, id=f"Esparto {ids(row)}") for row in published.rows("esparto_2020")),
    ],
)
def test_a_day_has_the_degree_days_of_the_university_of_california(row, base, cutoff, tolerance):
    sine = degree_days.single_sine(row["low"], row["high"], base, cutoff=cutoff)
    triangle = degree_days.single_triangle(row["low"], row["high"], base, cutoff=cutoff)

    assert sine == pytest.approx(row["single_sine"], abs=tolerance)
    assert triangle == pytest.approx(row["single_triangle"], abs=tolerance)


# nonlineartemppy 0.201 (A. J. Woodill), the arccosine form, rounds to five decimals; the cutoff as a difference of two
# thresholds.
@pytest.mark.parametrize(("base", "cutoff"), [(14.9, 34), (55, 90), (0, 20)])
def test_the_single_sine_is_that_of_nonlineartemppy(base, cutoff):
    days = [(low, low + swing) for low in range(-10, 100, 3) for swing in (0.5, 4, 9.7, 17, 30, 60)]
    frame = pd.DataFrame(days, columns=["tmin", "tmax"]).assign(date=range(len(days)))

    theirs = calculations.degree_days(frame, [base, cutoff])

    expected = theirs[f"dday{base}C"] - theirs[f"dday{cutoff}C"]
    assert len(expected) == len(days)
    for (low, high), value in zip(days, expected, strict=True):
        assert degree_days.single_sine(low, high, base, cutoff=cutoff) == pytest.approx(value, abs=1.1e-5)


# Kivan 2008, Insect Sci. 15:163-166 (sunn pest); Bull. Entomol. Res. 1970 (desert locust).
@pytest.mark.parametrize("row", published.rows("thermal_constants"), ids=lambda row: f"{row['animal']} {row['temp']:g}")
def test_eggs_take_the_days_of_their_published_constant(row):
    days = degree_days.days_at_constant(row["temp"], row["base"], row["constant"])

    assert days == pytest.approx(row["computed_days"], abs=0.005)
    assert days == pytest.approx(row["measured_days"], rel=0.06)
