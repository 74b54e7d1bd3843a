"""Bad input: one line that names the field, what was found there, and what would be right."""

from __future__ import annotations

from pathlib import Path

import pytest
from courseline.engine import SiteError, design, read_plan, read_site, with_choices
from courseline.engine.site import site_from_text
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

OUTLINE = "[[0, 0], [4000, 0], [4000, 1500], [0, 1500]]"
HOUSE = "[house]\nwalls = [[0, -5000], [4000, -5000], [4000, 0], [0, 0]]\n"


def site(*, top: str = "", outline: str = OUTLINE, deck: str = "", rest: str = "") -> str:
    return f'schema = 1\nname = "x"\n{top}\n[deck]\noutline = {outline}\n{deck}\n{rest}\n'


def opening(wall: int = 2, offset: float = 300, width: float = 900, height: float = 2000) -> str:
    return f"[[house.openings]]\nwall = {wall}\noffset = {offset}\nwidth = {width}\nheight = {height}\n"


def obstacle(shape: str) -> str:
    return f'[[obstacles]]\nname = "a"\n{shape}\n'


def refused(text: str) -> SiteError:
    """The fault for which a site is refused, told in one line of field, value, remedy."""
    with pytest.raises(SiteError) as caught:
        design(site_from_text(text))
    fault = caught.value
    line = str(fault)
    assert "\n" not in line
    assert line.startswith(fault.field)
    assert str(fault.value)
    assert fault.wanted
    return fault


# (what is wrong, the file, the field that is named, words of value and remedy)
FAULTS = [
    ("typo in a table", site(rest="[borads]\nwidth = 1"), "borads", "did you mean 'boards'?"),
    ("typo in a key", site(rest="[boards]\nwidht = 140"), "boards.widht", "did you mean 'width'?"),
    ("typo in a nested key", site(rest="[look.view]\nfrm = [0,0,0]\nto = [1,1,1]"), "look.view.frm", "'from'?"),
    ("a key like no other", site(rest="[gaps]\nq = 1"), "gaps.q", "[gaps] knows course, butt, wall, obstacle"),
    ("typo in an edge's finish", site(deck='edge_finish = {0 = "flsh"}'), "deck.edge_finish.0", "'flush'?"),
    ("no such finish", site(deck='edge_finish = {0 = "x"}'), "deck.edge_finish.0", "'x'; write 'fascia' or 'flush'"),
    ("no edge's finish", site(deck='edge_finish = {all = "trim"}'), "deck.edge_finish.all", "the number of an edge"),
    ("finish of edge 9 of 4", site(deck='edge_finish = {9 = "trim"}'), "deck.edge_finish.9", "edges 0 to 3"),
    ("edge 00", site(deck='edge_finish = {00 = "trim"}'), "deck.edge_finish.00", "the number of an edge"),
    ("edge ²", site(deck='edge_finish = {"²" = "trim"}'), "deck.edge_finish.²", "the number of an edge"),
    ("name missing", f"schema = 1\n[deck]\noutline = {OUTLINE}", "name", "missing"),
    ("schema missing", 'name = "x"', "schema", "missing"),
    ("schema of the future", 'schema = 2\nname = "x"', "schema", "2; write 1"),
    ("outline missing", 'schema = 1\nname = "x"\n[deck]\nsurface = 1', "deck.outline", "missing"),
    ("empty file", "", "schema", "missing"),
    ("not TOML", "[deck\n", "site file", "not TOML"),
    ("a zero byte", "\x00", "site file", "not TOML"),
    ("nested without end", "a = " + "[" * 5000, "site file", "not TOML"),
    ("a number of 5000 digits", site(rest="[boards]\nwidth = " + "9" * 5000), "site file", "not TOML"),
    ("a number for a table", site(top="boards = 3"), "boards", "3; expected a table, got a whole number"),
    ("a list for a table", site(top="house = []"), "house", "expected a table, got a list"),
    ("tables for a table", site(rest='[[boards]]\nproduct = "x"'), "boards", "expected a table, got a list"),
    ("a table for tables", site(rest='[obstacles]\nname = "x"'), "obstacles", "expected a list, got a table"),
    ("text for a list", site(outline='"round"'), "deck.outline", "expected a list, got text"),
    ("a date for a length", site(outline="[[0,0],[2027-06-21,0],[1,1]]"), "deck.outline[1][0]", "expected a number"),
    ("a truth for a length", site(outline="[[true,0],[1,0],[1,1]]"), "deck.outline[0][0]", "expected a number"),
    ("a point in space", site(outline="[[0,0,0],[1,0,0],[1,1,0]]"), "deck.outline[0]", "length 2, got 3"),
    ("two corners", site(outline="[[0,0],[1000,0]]"), "deck.outline", "length >= 3"),
    ("words for a length", site(rest='[boards]\nwidth = "broad"'), "boards.width", "'broad'; write a number, or text"),
    ("units unknown", site(top='units = "yd"'), "units", "'yd'; write 'cm' or 'ft'"),
    ("units no text", site(top="units = 3"), "units", "3; write 'cm' or 'ft'"),
    ("negative width", site(rest="[boards]\nwidth = -140"), "boards.width", "-140"),
    ("negative gap", site(rest="[gaps]\nbutt = -1"), "gaps.butt", "expected a number >= 0"),
    ("board of no length", site(rest="[boards]\nlengths = [0]"), "boards.lengths[0]", "expected a number > 0"),
    ("no boards", site(rest="[boards]\nlengths = []"), "boards.lengths", "length >= 1"),
    ("surface in the ground", site(deck="surface = 0"), "deck.surface", "expected a number > 0"),
    ("nan for a length", site(rest="[boards]\nwidth = nan"), "boards.width", "nan; write a number no larger"),
    ("nan for a corner", site(outline="[[0,0],[nan,0],[1,1]]"), "deck.outline[1][0]", "nan; write a number"),
    ("inf for a corner", site(outline="[[0,0],[inf,0],[1,1]]"), "deck.outline[1][0]", "inf; write a number"),
    ("nan for an angle", site(deck="direction = nan"), "deck.direction", "nan; write a number"),
    ("nan for north", site(rest="[look.place]\nnorth = nan"), "look.place.north", "nan; write a number"),
    ("inf for a price", site(rest="[prices]\nclip = inf"), "prices.clip", "inf; write a number"),
    ("inf for a mass", site(rest="[boards]\nmass_per_metre = inf"), "boards.mass_per_metre", "inf; write a number"),
    ("a huge number", site(outline="[[0,0],[4e300,0],[1,1]]"), "deck.outline[1][0]", "4e+300; write a number"),
    ("a huge whole number", site(outline=f"[[0,0],[{'9' * 400},0],[1,1]]"), "deck.outline[1][0]", "write a number"),
    ("a huge length in text", site(rest=f'[boards]\nwidth = "{"9" * 400} m"'), "boards.width", "write a number"),
    ("mm in a file of metres", site(top='units = "m"'), "deck.outline", "4000 m by 1500 m; are `units`"),
    ("metres in a file of mm", site(outline="[[0,0],[4,0],[4,3],[0,3]]"), "deck.outline", "4 x 3 mm can be boarded"),
    (
        "outline crosses",
        site(outline="[[0,0],[4000,1500],[4000,0],[0,1500]]"),
        "deck.outline",
        "0 and 2 cross at [2000",
    ),
    ("outline encloses nothing", site(outline="[[0,0],[1000,0],[2000,0]]"), "deck.outline", "folds back on itself"),
    ("ring closed", site(outline="[[0,0],[900,0],[900,900],[0,0]]"), "deck.outline[3]", "same as the first corner"),
    ("corner twice", site(outline="[[0,0],[900,0],[900,0],[0,900]]"), "deck.outline[2]", "same as corner 1"),
    ("start edge 4 of 4", site(deck="start_edge = 4"), "deck.start_edge", "4; deck.outline has edges 0 to 3"),
    ("start edge -1", site(deck="start_edge = -1"), "deck.start_edge", "-1; expected a whole number >= 0"),
    ("house edge 9", site(deck="house_edges = [0, 9]"), "deck.house_edges[1]", "9; deck.outline has edges 0 to 3"),
    ("border edge 9", site(rest="[pattern.border]\nedges = [9]"), "pattern.border.edges[0]", "edges 0 to 3"),
    ("survey of edge 9", site(rest="[wall_survey]\nedge = 9\noffsets = []"), "wall_survey.edge", "edges 0 to 3"),
    (
        "opening outside",
        site(deck="openings = [[[9000,0],[9900,0],[9900,90]]]"),
        "deck.openings[0]",
        "keep the opening",
    ),
    ("opening is the deck", site(deck=f"openings = [{OUTLINE}]"), "deck.openings[0]", "reaches deck.outline"),
    (
        "openings meet",
        site(deck="openings = [[[100,100],[600,100],[600,600]], [[500,100],[900,100],[900,600]]]"),
        "deck.openings[1]",
        "meets deck.openings[0]",
    ),
    (
        "obstacle outside",
        site(rest=obstacle("centre = [9000, 700]\ndiameter = 10")),
        "obstacles[0] 'a'",
        "4995 mm outside",
    ),
    ("obstacle of no shape", site(rest=obstacle("")), "obstacles[0]", "give one shape"),
    ("two shapes", site(rest=obstacle("centre=[1,1]\ndiameter=3\nsize=[1,1]")), "obstacles[0]", "give one shape"),
    ("size 0", site(rest=obstacle("centre=[900,900]\nsize=[0,1]")), "obstacles[0].size[0]", "expected a number > 0"),
    (
        "obstacle crosses itself",
        site(rest=obstacle("outline = [[100,100],[200,200],[200,100],[100,200]]")),
        "obstacles[0] 'a'",
        "edges 0 and 2 cross",
    ),
    ("obstacle on all", site(rest=obstacle("centre=[2000,700]\nsize=[9000,9000]")), "deck.outline", "can be boarded"),
    (
        "board shorter than two bays",
        site(rest="[boards]\nlengths = [300]"),
        "boards.lengths",
        "asks for 800 mm at least",
    ),
    ("board of no width", site(rest="[boards]\nwidth = 1e-300"), "boards.width", "narrower than 20 mm"),
    ("no such board", site(rest='[boards]\nproduct = "plane-140"'), "boards.product", "did you mean 'plain-140'?"),
    ("a board unlike any", site(rest='[boards]\nproduct = "z"'), "boards.product", "the product table has plain-140"),
    ("colour by name", site(rest='[boards]\ncolour = "red"'), "boards.colour", "'red'"),
    (
        "oversail of a board's length",
        site(deck='edge_finish = {default = "trim"}', rest="[pattern]\noversail = 4000"),
        "boards.lengths",
        "12000 mm with its oversail",
    ),
    ("joist too narrow for a joint", site(rest="[frame]\nsection = [20, 100]"), "frame.section[0]", "must bear 20 mm"),
    ("joists side by side", site(rest="[frame]\nmax_centres = 47"), "frame.max_centres", "94 mm at least"),
    (
        "timber shorter than a bay",
        site(rest="[frame]\nstock_lengths = [10]"),
        "frame.stock_lengths",
        "reach over a bay",
    ),
    ("no such grade", site(rest='[frame]\ngrade = "C99"'), "frame.grade", "C16, C24"),
    ("a date without offset", site(rest='[look]\nwhen = "2027-06-21T17:00"'), "look.when", "date, time and offset"),
    ("no date", site(rest='[look]\nwhen = "soon"'), "look.when", "date, time and offset"),
    ("a date unquoted", site(rest="[look]\nwhen = 2027-06-21"), "look.when", "expected text, got date"),
    ("no such view", site(rest='[look]\nview = "gardn"'), "look.view", "did you mean 'garden'?"),
    ("latitude 99", site(rest="[look.place]\nlatitude = 99"), "look.place.latitude", "<= 90"),
    ("wall 4 of 4", site(rest=HOUSE + opening(wall=4)), "house.openings[0].wall", "4; house.walls has edges 0 to 3"),
    ("opening past its wall", site(rest=HOUSE + opening(offset=3500)), "house.openings[0]", "4400 mm; wall 2 is 4000"),
    ("opening over the eaves", site(rest=HOUSE + opening(height=3000)), "house.openings[0]", "eaves are at 2600"),
    ("openings overlap", site(rest=HOUSE + opening() + opening(offset=900)), "house.openings[1]", "house.openings[0]"),
    (
        "deck in the house",
        site(rest="[house]\nwalls = [[0,0],[4000,0],[4000,900],[0,900]]"),
        "deck.outline",
        "runs into",
    ),
    (
        "edge that leaves its wall",
        site(rest="[house]\nwalls = [[0,-900],[2000,-900],[2000,0],[0,0]]"),
        "deck.outline edge 0",
        "put a corner of the outline where the wall ends",
    ),
    ("zone off the deck", site(rest='[[zones]]\nname = "a"\noutline = [[-9,0],[1,0],[1,1]]'), "zones[0] 'a'", "inside"),
]


@pytest.mark.parametrize(("text", "field", "words"), [case[1:] for case in FAULTS], ids=[case[0] for case in FAULTS])
def test_fault_is_named_with_its_remedy(text: str, field: str, words: str) -> None:
    fault = refused(text)
    assert fault.field == field
    assert words in str(fault)


def test_sound_site_is_not_refused() -> None:
    text = site(rest=HOUSE + opening() + obstacle("centre = [2000, 700]\ndiameter = 80"))
    assert len(design(site_from_text(text)).pieces) > 0


def test_name_in_any_script_is_kept() -> None:
    text = site().replace('name = "x"', 'name = "庭 🏡 Überdachung"')
    assert design(site_from_text(text)).name == "庭 🏡 Überdachung"


def test_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(SiteError, match=r"nowhere\.toml; cannot be read"):
        read_site(tmp_path / "nowhere.toml")


def test_folder_for_a_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(SiteError, match="cannot be read"):
        read_site(tmp_path)


def test_file_that_is_no_text_is_named(tmp_path: Path) -> None:
    (tmp_path / "picture.toml").write_bytes(b"\x89PNG\xff\xfe")
    with pytest.raises(SiteError, match="not a text file in UTF-8"):
        read_site(tmp_path / "picture.toml")


def test_mark_and_line_ends_of_some_editors_are_read_over(tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_bytes(b"\xef\xbb\xbf" + site().replace("\n", "\r\n").encode())
    assert read_site(tmp_path / "site.toml").name == "x"


@pytest.mark.parametrize("content", [b"", b"[]", b'{"schema": 2}', b"\xff", b'{"schema": 1, "version": "0"}'])
def test_file_that_is_no_plan_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "plan.json").write_bytes(content)
    with pytest.raises(SiteError, match="is no plan of schema 1"):
        read_plan(tmp_path / "plan.json")


@pytest.mark.parametrize("direction", [float("nan"), float("inf")])
def test_direction_chosen_must_be_an_angle(direction: float) -> None:
    with pytest.raises(SiteError, match="number of degrees"):
        with_choices(site_from_text(site()), direction=direction)


TABLES = ("house", "deck", "zones", "obstacles", "boards", "gaps", "pattern", "frame", "wall_survey", "look", "prices")
KEYS = ("walls", "outline", "openings", "product", "lengths", "width", "edge_finish", "view", "place", "x")
values = st.recursive(
    st.sampled_from(["1", "-1", "0", "3.5", "nan", "-inf", '"4 m"', '"x"', "true", "2027-06-21", "1e308", "9" * 30]),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]"),
        st.dictionaries(st.sampled_from(KEYS), inner, max_size=2).map(
            lambda table: "{" + ", ".join(f"{key} = {value}" for key, value in table.items()) + "}"
        ),
    ),
    max_leaves=6,
)


@pytest.mark.slow
@settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(table=st.sampled_from(TABLES), value=values)
def test_any_value_for_any_table_is_planned_or_refused_in_one_line(table: str, value: str) -> None:
    text = f'schema = 1\nname = "x"\n{table} = {value}\n'
    if table != "deck":
        text += f"[deck]\noutline = {OUTLINE}\n"
    try:
        design(site_from_text(text))
    except SiteError as fault:
        assert "\n" not in str(fault)


@pytest.mark.slow
@settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(table=st.sampled_from(("boards", "gaps", "pattern", "frame", "deck")), key=st.data(), value=values)
def test_any_value_for_any_key_is_planned_or_refused_in_one_line(table: str, key: st.DataObject, value: str) -> None:
    known = {
        "boards": ("product", "lengths", "width", "thickness", "profile", "mass_per_metre", "price_per_board"),
        "gaps": ("course", "butt", "wall", "obstacle"),
        "pattern": ("joints", "min_piece_bays", "min_rip", "oversail", "kerf", "border"),
        "frame": ("section", "grade", "max_centres", "stock_lengths", "joists", "imposed_load"),
        "deck": ("openings", "surface", "house_edges", "start_edge", "direction", "edge_finish"),
    }
    line = f"{key.draw(st.sampled_from(known[table]))} = {value}"
    try:
        design(site_from_text(site(deck=line) if table == "deck" else site(rest=f"[{table}]\n{line}")))
    except SiteError as fault:
        assert "\n" not in str(fault)
