"""A site written reads as the same site; the standard library's TOML reader is the judge."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from courseline.engine import CourselineError, design, plan_json, read_site
from courseline.engine.sitefile import site_text, table_text, write_site
from hypothesis import given
from hypothesis import strategies as st

SCENES = sorted((Path(__file__).parents[2] / "demo_scenes").glob("*.toml"))

plain = st.one_of(
    st.booleans(),
    st.integers(-(2**53), 2**53),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=20),
)
keys = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
values = st.recursive(plain, lambda inner: st.lists(inner, max_size=4), max_leaves=8)
tables = st.recursive(
    st.dictionaries(keys, values, max_size=4),
    lambda inner: st.dictionaries(keys, st.one_of(values, inner, st.lists(inner, min_size=1, max_size=3)), max_size=4),
    max_leaves=8,
)


@pytest.mark.slow
@given(tables)
def test_any_table_reads_back_as_it_was(table: dict[str, object]) -> None:
    assert tomllib.loads(table_text(table)) == table


@pytest.mark.slow
@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_a_site_written_is_the_site_read(path: Path, tmp_path: Path) -> None:
    site = read_site(path)
    again = read_site(write_site(site, tmp_path / "site.toml"))
    assert again == site
    assert plan_json(design(again)) == plan_json(design(site))
    assert max(map(len, site_text(site).splitlines())) <= 130


def test_a_file_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file, not a folder")
    with pytest.raises(CourselineError, match="cannot be written"):
        write_site(read_site(SCENES[0]), tmp_path / "taken" / "site.toml")
