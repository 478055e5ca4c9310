"""Counts of lengths and sheets against published instances with known optimum or bounds.

* One dimension: Falkenauer 1996; Scholl, Klein, Juergens 1997; Schwerin, Waescher 1997;
  Waescher, Gau 1996; Schoenfield's Hard28; optimum from BPPLIB (Delorme, Iori, Martello 2018).
* Two dimensions: Berkey, Wang 1987; Martello, Vigo 1998, as collected in 2DPackLib (Iori, de
  Lima, Martello, Monaci 2022); bounds recomputed for 90° turns.
* Plywood part lists: invented, with proven bounds.

First-fit decreasing needs at most 11/9 OPT + 6/9 bins (Dósa 2007, from memory).
"""

from __future__ import annotations

import json
from decimal import Decimal as D
from pathlib import Path

import pytest

from buildlog.materials.takeoff import Grain, count_lengths, count_sheets
from buildlog.materials.takeoff.sheetwise import blank

CUTTING = Path(__file__).parents[3] / "shared" / "reference" / "cutting"
pytestmark = pytest.mark.skipif(not CUTTING.is_dir(), reason="the cutting instances are not here")


def instances(name: str):
    if not CUTTING.is_dir():
        return []
    return json.loads((CUTTING / name).read_text())["instances"]


@pytest.mark.parametrize("one", instances("open_1d.json"), ids=lambda one: one["name"])
def test_lengths_lie_between_the_optimum_and_the_proven_bound(one):
    pieces = [D(size) for size, count in one["items"] for _ in range(count)]
    bought, too_long = count_lengths(pieces, D(one["capacity"]))
    assert not too_long
    assert one["opt"] <= bought <= (11 * one["opt"] + 6) / 9


@pytest.mark.parametrize("one", instances("open_2d.json"), ids=lambda one: one["name"])
def test_sheets_are_never_below_the_bound_and_close_above_it(one):
    """No bound is proven for straight cuts against free layouts: this one was measured.

    The worst here is 16 sheets where a free layout of 13 is known; 1476 for 1410 on the whole set.
    """
    pieces = [blank(D(w), D(h)) for w, h, count in one["items"] for _ in range(count)]
    bought, too_big = count_sheets(pieces, D(one["W"]), D(one["H"]))
    assert not too_big
    assert one["lb_rot"] <= bought <= 1.2 * one["ub_rot"] + 1


def test_sheets_are_a_tenth_above_the_best_known_on_the_whole_set():
    counted = known = 0
    for one in instances("open_2d.json"):
        pieces = [blank(D(w), D(h)) for w, h, count in one["items"] for _ in range(count)]
        counted += count_sheets(pieces, D(one["W"]), D(one["H"]))[0]
        known += one["ub_rot"]
    assert counted <= 1.1 * known


@pytest.mark.parametrize("one", instances("open_plywood.json"), ids=lambda one: one["name"])
def test_plywood_lists_come_within_one_sheet_of_the_best_known(one):
    for thickness, bounds in one["bounds"].items():
        pieces = [
            blank(D(length), D(width), Grain.ALONG if grain else Grain.ANY)
            for _, thick, length, width, grain in one["parts"]
            if str(thick) == thickness
        ]
        bought, too_big = count_sheets(pieces, D(2440), D(1220), kerf_mm=D(one["kerf"]))
        assert not too_big
        assert bounds["lb"] <= bought <= bounds["best_guillotine"] + 1
