"""Constants taken from published sources, against the rows they were read in."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from courseline.engine.standards import approved_document_k, en_338

ROWS = {
    row["id"]: row
    for row in json.loads((Path(__file__).parents[1] / "reference" / "frame_and_guarding.json").read_text("utf-8"))
}


def test_only_values_that_were_read_are_leant_on() -> None:
    assert all(row["status"].startswith("read") for row in ROWS.values())


@pytest.mark.parametrize("grade", ["C16", "C24"])
def test_mean_density_of_the_strength_class(grade: str) -> None:
    row = ROWS[f"EN338-{grade}-rho_mean"]  # EN 338:2016 Table 1, read in a secondary transcription
    assert en_338.MEAN_DENSITY[grade] == row["value"]
    assert row["source"] == en_338.SOURCE


def test_drop_above_which_a_deck_is_guarded() -> None:
    row = ROWS["ADK-drop600"]  # Approved Document K 2013 para 1.41, read
    assert row["value"] == approved_document_k.GUARDED_DROP
    assert "1.41" in approved_document_k.SOURCE
    assert "1.41" in row["source"]


def test_rise_and_going_of_a_step() -> None:
    row = ROWS["ADK-T1.1-Private"]  # Approved Document K 2013 table 1.1, read
    assert row["value"]["rise_max"] == approved_document_k.HIGHEST_RISE
    assert row["value"]["rise_min"] == approved_document_k.LEAST_RISE
    assert row["value"]["going_min"] == approved_document_k.LEAST_GOING
