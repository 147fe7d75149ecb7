"""Maps: well-formed, everything named once, the legend true, names on nothing else, nothing under 8 pt."""

import re
from collections import Counter
from dataclasses import replace
from itertools import combinations
from math import sqrt
from pathlib import Path
from xml.etree import ElementTree

import pytest
from fontTools.ttLib import TTFont
from shapely import LineString, Point, box

import reports
from reports.assessment import Assessment, FloorAssessment
from reports.maps import floor_drawing, floor_map, grid_of, zone_map
from reports.maps.frame import Box, Frame, framed
from reports.maps.grid import extent_of
from reports.maps.legend import nice_length
from reports.maps.lettering import broken, shortened, text_width_pt
from reports.maps.placing import Placer, Wish
from tests.reports import extremes, sample

SVG = "{http://www.w3.org/2000/svg}"


def assessed(floor: FloorAssessment) -> Assessment:
    return sample.assessment(floors=(floor,))


CASES: dict[str, Assessment] = {
    "sample": sample.assessment(),
    "bare": extremes.bare_floor()[0],
    "crowded": extremes.crowded()[0],
    "tiny": assessed(extremes.resized(0.05)),
    "huge": assessed(extremes.resized(20)),
    "tall": assessed(extremes.tall()),
    "long names": extremes.renamed(extremes.LONG)[0],
    "scripts": extremes.renamed(" ".join(extremes.SCRIPTS))[0],
    "no drains": assessed(sample.floor(drains=())),
    "bad letters": extremes.renamed('<b>&"\x00\x1b')[0],
}


def parsed(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - a drawing that we have just made


def drawing(judged: Assessment) -> ElementTree.Element:
    return parsed(floor_map(judged.floors[0], judged))


def shown(name: str) -> str:
    """A name as XML 1.0 can hold it."""
    return re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", "\ufffd", name)


def texts(root: ElementTree.Element) -> list[str]:
    return [element.text or "" for element in root.iter(f"{SVG}text")]


def name_boxes(root: ElementTree.Element) -> list[Box]:
    boxes = []
    for group in root.iter(f"{SVG}g"):
        if group.get("class") == "name":
            rect = group.find(f"{SVG}rect")
            assert rect is not None
            x, y, width, height = (float(rect.get(key, "nan")) for key in ("x", "y", "width", "height"))
            boxes.append(Box(x, y, x + width, y + height))
    return boxes


@pytest.fixture(params=CASES, name="judged")
def _judged(request: pytest.FixtureRequest) -> Assessment:
    return CASES[request.param]


def test_map_is_well_formed_with_a_title_and_its_printed_size(judged: Assessment) -> None:
    root = drawing(judged)
    assert root[0].tag == f"{SVG}title"
    assert root[0].text is not None
    assert shown(judged.floors[0].name) in root[0].text
    width, height = root.get("width", ""), root.get("height", "")
    assert width.endswith("pt")
    assert root.get("viewBox") == f"0 0 {width[:-2]} {height[:-2]}"
    assert float(width[:-2]) == 530


def test_every_pallet_drain_and_storage_zone_is_one_group(judged: Assessment) -> None:
    root, floor = drawing(judged), judged.floors[0]
    for key, names in (
        ("data-pallet", [pallet.name for pallet in floor.pallets]),
        ("data-zone", [zone.name for zone in floor.zones]),
        ("data-drain", [drain.name for drain in floor.drains if drain.shape is not None]),
    ):
        assert Counter(element.get(key) for element in root.iter() if element.get(key)) == Counter(map(shown, names))
    identifiers = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(identifiers) == len(set(identifiers))
    assert {f"pallet-{pallet.id}" for pallet in floor.pallets} <= set(identifiers)


def test_legend_has_the_symbols_used_and_no_others(judged: Assessment) -> None:
    root = drawing(judged)
    used = {element.get("data-symbol") for element in root.iter()} - {None}
    explained = Counter(element.get("data-legend") for element in root.iter() if element.get("data-legend"))
    assert explained == Counter(used)


def test_names_lie_inside_the_drawing_and_on_no_other_name(judged: Assessment) -> None:
    root = drawing(judged)
    boxes = name_boxes(root)
    for one, other in combinations(boxes, 2):
        across = min(one.right, other.right) - max(one.left, other.left)
        down = min(one.high, other.high) - max(one.low, other.low)
        assert min(across, down) < 0.06, (one, other)
    width, height = (float(part) for part in root.get("viewBox", "").split()[2:])
    assert all(each.left >= 0 and each.right <= width and each.low >= 0 and each.high <= height for each in boxes)


def test_no_letter_is_smaller_than_eight_points(judged: Assessment) -> None:
    root = drawing(judged)
    sizes = {float(element.get("font-size", root.get("font-size", "0"))) for element in root.iter(f"{SVG}text")}
    assert sizes
    assert min(sizes) >= 8


def test_every_name_is_lettered_or_said_to_have_no_room() -> None:
    judged = CASES["crowded"]
    said = " ".join(texts(drawing(judged)))
    for pallet in judged.floors[0].pallets:
        assert pallet.name in said, pallet.name


def test_the_same_floor_gives_the_same_drawing() -> None:
    judged = sample.assessment()
    assert floor_map(judged.floors[0], judged) == floor_map(judged.floors[0], judged)


def test_stop_is_on_the_pallets_with_a_stop_line_and_on_no_other() -> None:
    root = drawing(sample.assessment())
    marked = {
        group.get("data-pallet")
        for group in root.iter(f"{SVG}g")
        if group.get("data-pallet") and any(part.get("data-symbol") == "stop" for part in group.iter())
    }
    assert marked == {"P03", "P07", "P08"}
    assert {text.removeprefix("STOP ") for text in texts(root) if text.startswith("STOP P")} == marked


def test_a_drain_says_where_it_goes_and_whether_that_is_proven() -> None:
    said = texts(drawing(sample.assessment()))
    assert said[said.index("D1 → storm?") + 1] == "unproven"
    assert said[said.index("D2 → interceptor") + 1] == "proven: dye test"
    assert any("D3 (gully) is not drawn: its place was not found." in line for line in [" ".join(said)])


def test_drain_kinds_have_signs_of_their_own() -> None:
    shapes = {"gully": Point(2, 2), "inlet": Point(6, 2), "pit": Point(10, 2), "trench": LineString([(14, 2), (18, 2)])}
    drains = tuple(
        replace(sample.DRAINS[0], id=sample.made_id(kind), name=kind, kind=kind, shape=shape, found="not seen")
        for kind, shape in shapes.items()
    )
    root = drawing(assessed(sample.floor(drains=drains)))
    signs = {group.get("data-drain"): group.get("data-symbol") for group in root.iter() if group.get("data-drain")}
    assert signs == {kind: kind for kind in shapes}
    assert sum(element.get("data-symbol") == "unseen-drain" for element in root.iter()) == len(shapes)


def test_unknown_storage_zones_are_hatched_and_known_ones_are_not() -> None:
    known = sample.floor(zones=tuple(replace(zone, unknown_share=0.0) for zone in sample.ZONES))
    symbols = [element.get("data-symbol") for element in drawing(assessed(known)).iter()]
    assert "unknown" not in symbols
    symbols = [element.get("data-symbol") for element in drawing(sample.assessment()).iter()]
    assert symbols.count("unknown") == 1


def test_the_three_worst_storage_zones_are_drawn_heavier_than_the_rest() -> None:
    symbols = Counter(element.get("data-symbol") for element in drawing(sample.assessment()).iter())
    assert (symbols["worst"], symbols["zone"]) == (3, 1)


def test_the_stand_off_is_drawn_where_it_crosses_and_said_where_it_does_not() -> None:
    away = sample.assessment().stand_off
    assert away is not None
    near = sample.assessment(stand_off=replace(away, metres=6.0))
    root = drawing(near)
    assert sum(element.get("data-symbol") == "stand-off" for element in root.iter()) == 1
    assert any("stand-off 6.0 m (19.7 ft) from P08-2" in text for text in texts(root))
    root = drawing(sample.assessment())
    assert not any(element.get("data-symbol") == "stand-off" for element in root.iter())
    assert "All of this drawing lies inside the stand-off 50 m (164 ft) from P08-2." in " ".join(texts(root))


def test_a_stand_off_stays_on_the_floor_of_its_drum() -> None:
    judged, _ = extremes.two_floors()
    away = judged.stand_off
    assert away is not None
    upper = replace(
        judged.floors[1], pallets=tuple(replace(each, stopped_drums=()) for each in judged.floors[1].pallets)
    )
    judged = replace(judged, floors=(judged.floors[0], upper), stand_off=replace(away, metres=6.0))
    drawn = [
        sum(element.get("data-symbol") == "stand-off" for element in parsed(floor_map(each, judged)).iter())
        for each in judged.floors
    ]
    assert drawn == [1, 0]


def test_first_actions_are_numbered_and_one_outside_is_pointed_to() -> None:
    root = drawing(sample.assessment())
    assert [element.get("data-action") for element in root.iter() if element.get("data-action")] == ["2", "3"]
    far = tuple(replace(act, at=Point(-500, 7)) for act in sample.assessment().first_actions[:1])
    said = " ".join(texts(drawing(sample.assessment(first_actions=far))))
    assert "First action 1 lies outside this drawing, where its stroke points." in said


def test_a_first_action_is_drawn_on_its_own_floor_alone() -> None:
    upper = replace(sample.floor(), id=sample.made_id("Upper"), name="Upper")
    judged = sample.assessment(floors=(sample.floor(), upper))
    drawn = [
        [element.get("data-action") for element in parsed(floor_map(each, judged)).iter() if element.get("data-action")]
        for each in judged.floors
    ]
    assert drawn == [["2", "3"], []]


def test_a_pallet_recorded_far_away_does_not_shrink_the_floor() -> None:
    stray = replace(sample.PALLETS[0], id=sample.made_id("stray"), name="stray", footprint=box(900, 900, 901, 901))
    floor = sample.floor(pallets=(*sample.PALLETS, stray))
    assert extent_of(floor) == extent_of(sample.floor())
    assert "stray is not drawn: its recorded place lies far away." in " ".join(texts(drawing(assessed(floor))))


def test_storage_zone_map_shows_each_pallet_in_detail_and_its_identifiers_are_its_own() -> None:
    judged = sample.assessment()
    floor = judged.floors[0]
    for zone in floor.zones:
        root = parsed(zone_map(zone, floor, judged))
        said = texts(root)
        for pallet in floor.pallets:
            if pallet.name in zone.pallets:
                assert pallet.name in said or f"STOP {pallet.name}" in said
                assert f"{pallet.drums + pallet.empty} × {pallet.products[0]}" in said
        assert all((element.get("id") or f"in-{zone.id}-").startswith(f"in-{zone.id}-") for element in root.iter())


def test_storage_zone_map_letters_the_gap_between_pallets_that_react() -> None:
    judged = sample.assessment()
    floor = judged.floors[0]
    root = parsed(zone_map(floor.zones[1], floor, judged))
    assert [element.get("data-pair") for element in root.iter() if element.get("data-pair")] == ["P01 P02"]
    assert "0.4 ± 0.1 m" in texts(root)


def test_grid_letters_are_the_same_on_the_floor_and_on_a_storage_zone() -> None:
    # By hand: the sample reaches from x = 0 to 30 and y = 0 to 15; 2 m squares give 15 columns and 8 rows from y = 16.
    grid = grid_of(sample.floor())
    assert (grid.pitch_m, grid.left, grid.high, grid.columns, grid.rows) == (2, 0, 16, 15, 8)
    assert grid.reference(Point(0.1, 15.9)) == "A1"
    assert grid.reference(Point(12.0, 7.5)) == "G5"
    assert grid.reference(Point(29.9, 0.1)) == "O8"
    assert grid.reference(Point(-50, 99)) == "A1"
    judged = sample.assessment()
    said = texts(parsed(zone_map(judged.floors[0].zones[0], judged.floors[0], judged)))
    assert {"J", "K", "L"} <= set(said)
    assert "A" not in said


def test_a_place_on_the_floor_lands_where_the_scale_says() -> None:
    # By hand: 10 pt/m, corner at (15, 11), view from (2, 1) to (22, 11).
    frame = Frame(Box(2, 1, 22, 11), 10.0, 15.0, 11.0, turned=False)
    assert frame.at(2, 11) == (15, 11)
    assert frame.at(7, 9) == (65, 31)
    turned = replace(frame, turned=True)
    # A quarter turn clockwise: up on the floor is right on the sheet, right is down.
    assert turned.at(2, 1) == (15, 11)
    assert turned.at(7, 9) == (95, 61)
    assert turned.drawn(Point(7, 9)).equals(Point(95, 61))
    assert frame.drawn(Point(7, 9)).equals(Point(65, 31))


@pytest.mark.parametrize(
    ("north_deg", "turned", "expected"),
    [
        (0, False, (0, -1)),
        (90, False, (-1, 0)),  # the y axis points east, so north is to the left
        (180, False, (0, 1)),
        (0, True, (1, 0)),  # the y axis points right
        (45, False, (-sqrt(0.5), -sqrt(0.5))),
    ],
)
def test_north_arrow(north_deg: float, turned: bool, expected: tuple[float, float]) -> None:  # noqa: FBT001
    frame = Frame(Box(0, 0, 1, 1), 1.0, 0.0, 0.0, turned=turned)
    assert frame.north(north_deg) == pytest.approx(expected)


def test_scale_is_limited_and_the_view_fills_the_width() -> None:
    def fitted(view: Box, strip_pt: float) -> Frame:
        return framed(
            view,
            width_pt=500,
            height_pt=300,
            left_pt=0,
            top_pt=0,
            most_pt_per_m=60,
            least_height_pt=90,
            strip_pt=strip_pt,
            turned=False,
        )

    assert fitted(Box(0, 0, 1, 1), 9e9).pt_per_m == 60
    assert fitted(Box(0, 0, 1, 1), 9e9).width_pt == pytest.approx(500)
    assert fitted(Box(0, 0, 1, 1), 9e9).height_pt == pytest.approx(90)
    assert fitted(Box(0, 0, 100, 100), 160).width_pt == pytest.approx(340)
    assert fitted(Box(0, 0, 100, 30), 160).pt_per_m == 5


@pytest.mark.parametrize(("most", "length"), [(9.9, 5), (10, 10), (19.9, 10), (20, 20), (0.7, 0.5), (4999, 2000)])
def test_scale_bars_have_round_lengths(most: float, length: float) -> None:
    assert nice_length(most) == pytest.approx(length)


def test_scale_bar_in_feet_is_as_long_as_the_feet_it_names() -> None:
    # 1 ft = 0.3048 m exactly: international yard and pound agreement, 1959 (recalled).
    root = drawing(sample.assessment())
    scale = next(group for group in root.iter(f"{SVG}g") if group.get("class") == "scale")
    bars = [float(rect.get("width", "0")) for rect in scale.iter(f"{SVG}rect")][::2]
    names = [re.fullmatch(r"([\d.]+) (m|ft)", text) for text in texts(scale)[:2]]
    metres = [float(name[1]) * (1 if name[2] == "m" else 0.3048) for name in names if name]
    assert bars[0] / metres[0] == pytest.approx(bars[1] / metres[1], rel=0.005)


@pytest.mark.parametrize(("bold", "file"), [(False, "DejaVuSansCondensed.ttf"), (True, "DejaVuSansCondensed-Bold.ttf")])
def test_widths_are_those_of_the_bundled_face(bold: bool, file: str) -> None:  # noqa: FBT001
    text = "STOP B19 → 4 × toluene? {0.40 ± 0.07 m}".replace("→", "-").replace("±", "+").replace("×", "x")
    with TTFont(Path(reports.__file__).parent / "fonts" / file) as face:
        glyphs, advances = face.getBestCmap(), face["hmtx"]
        width = sum(advances[glyphs[ord(letter)]][0] for letter in text) * 8.5 / face["head"].unitsPerEm
    assert text_width_pt(text, 8.5, bold=bold) == pytest.approx(width)


def test_a_long_name_keeps_both_its_ends() -> None:
    cut = shortened("Palette Nordwand hinten links 0001", 70, 8.5)
    assert cut.startswith("Pal")
    assert cut.endswith("001")
    assert "…" in cut
    assert text_width_pt(cut, 8.5) <= 70
    assert shortened("A01", 70, 8.5) == "A01"
    assert shortened("A01", 1, 8.5) == "…"


def test_a_sentence_breaks_into_lines_that_fit() -> None:
    sentence = "Pallets without a STOP line are named on the maps of their storage zones."
    lines = broken(sentence, 120, 8)
    assert " ".join(lines) == sentence
    assert len(lines) > 1
    assert max(text_width_pt(line, 8) for line in lines) <= 120
    assert broken("", 120, 8) == ()


def test_a_name_goes_beside_its_thing_then_on_a_leader_then_nowhere() -> None:
    placer = Placer(Box(0, 0, 100, 40))
    thing = Box(40, 15, 50, 25)
    first = placer.place(Wish(20, 10, thing, inside=False))
    assert first is not None
    assert first.leader is None
    assert first.box == Box(51.5, 15, 71.5, 25)
    placed = [first]
    while (spot := placer.place(Wish(20, 10, thing, inside=False))) is not None:
        placed.append(spot)
        assert len(placed) < 40
    assert any(each.leader is not None for each in placed)
    for one, other in combinations(placed, 2):
        assert not one.box.shape().buffer(-0.1).intersects(other.box.shape().buffer(-0.1))


def test_a_page_can_take_the_legend_apart() -> None:
    judged = sample.assessment()
    whole = floor_drawing(judged.floors[0], judged)
    root = parsed(whole.svg)
    used = {element.get("data-symbol") for element in root.iter()} - {None}
    assert len(whole.legend) == len(used)
    assert not any(element.get("data-legend") for element in root.iter())
    for entry in whole.legend:
        parsed(entry.sample)
    assert any("D3 (gully)" in note for note in whole.notes)
