"""The first pages as people use them: by mouse, finger and keyboard, at each size, in both themes, with no script."""

import json
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, ViewportSize, expect

from survey.bundle import dump
from tests.builders import SurveyBuilder
from tests.e2e.conftest import DESK, PHONE, SIZES, TABLET, Open, Service

pytestmark = [pytest.mark.e2e, pytest.mark.xdist_group("browser")]

LEAST_TARGET_PX = 44.0


def view_box(page: Page) -> list[float]:
    return [float(number) for number in (page.locator(".drawing > svg").get_attribute("viewBox") or "").split()]


def on_map(page: Page, pallet: str) -> Locator:
    return page.locator(f'.drawing a[href="#pallet-{pallet}"]')


def panel(page: Page) -> Locator:
    return page.locator("[data-panel]")


def expect_zones(page: Page) -> None:
    """The panel shows the storage zones and no pallet."""
    expect(panel(page).get_by_role("heading", name="Storage zones, worst first")).to_be_visible()
    expect(panel(page).locator("[data-panel-pallet]")).to_be_hidden()


def button(page: Page, name: str) -> Locator:
    return page.get_by_role("button", name=name, exact=True)


class TestJourney:
    def test_from_the_list_over_the_site_to_a_pallet(self, visit: Open, service: Service) -> None:
        page = visit(service.address).page
        expect(page.locator(".site").first).to_contain_text(service.store.site.name)
        page.get_by_role("link", name=service.store.site.name).click()
        expect(page.locator("h1")).to_have_text(service.store.site.name)
        expect_zones(page)
        on_map(page, "A10").click()
        expect(panel(page)).to_contain_text("A10")
        expect(panel(page)).to_contain_text("bulging")
        expect(panel(page)).to_contain_text("Acetone")
        expect(panel(page).get_by_text("Readings", exact=True)).to_be_visible()
        assert page.evaluate("location.hash") == "#pallet-A10"
        expect(on_map(page, "A10")).to_have_attribute("aria-current", "true")
        button(page, "Back to the storage zones").click()
        expect_zones(page)
        expect(on_map(page, "A10")).to_be_focused()

    def test_the_panel_says_what_the_list_says(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store)).page
        on_map(page, "A06").click()
        page.locator("#pallet-A06 details").first.evaluate("details => { details.open = true }")
        said = " ".join(panel(page).locator("article").inner_text().split())
        listed = " ".join(page.locator("#pallet-A06").inner_text().split())
        assert said == listed
        assert "3.9 mm" in said, "critical depth of the farthest drum of A06 at D1, worked out in the demo's own notes"

    def test_an_address_with_a_pallet_opens_on_it(self, visit: Open, service: Service) -> None:
        page = visit(f"{service.of(service.store)}#pallet-A01").page
        expect(panel(page).locator("article h3").first).to_contain_text("A01")

    def test_a_finding_leads_to_its_pallet_in_the_list(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store)).page
        page.locator("#finding-1").get_by_role("link", name="A10").click()
        expect(page.locator("#pallet-A10")).to_be_in_viewport()

    def test_the_paper_and_the_files_are_one_click_away(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.bare)).page
        links = page.get_by_role("navigation", name="Pre-plan and files")
        paper = page.request.get(
            service.address + (links.get_by_role("link", name="Pre-plan").get_attribute("href") or ""), timeout=90_000
        )
        assert paper.headers["content-type"] == "application/pdf"
        assert paper.body().startswith(b"%PDF-")
        file = page.request.get(
            service.address + (links.get_by_role("link", name="Survey file").get_attribute("href") or "")
        )
        assert file.body() == dump(service.bare)
        assessment = page.request.get(
            service.address + (links.get_by_role("link", name="JSON").get_attribute("href") or "")
        )
        assert json.loads(assessment.body())["site"] == service.bare.site.name


class TestMap:
    def test_buttons_look_closer_move_and_show_all_again(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store)).page
        whole = view_box(page)
        button(page, "Closer").click()
        closer = view_box(page)
        assert closer[2] == pytest.approx(whole[2] / 1.6, rel=1e-3)
        for name, axis, sign in (("Move right", 0, 1), ("Move left", 0, -1), ("Move down", 1, 1), ("Move up", 1, -1)):
            before = view_box(page)
            button(page, name).click()
            assert (view_box(page)[axis] - before[axis]) * sign > 0
        button(page, "Farther").click()
        assert view_box(page) == pytest.approx(whole, rel=1e-3)
        button(page, "Closer").click()
        button(page, "All of the floor").click()
        assert view_box(page) == pytest.approx(whole)

    def test_the_keyboard_does_all_that_the_mouse_does(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store)).page
        whole = view_box(page)
        on_map(page, "A01").focus()
        page.keyboard.press("ArrowRight")
        expect(on_map(page, "A02")).to_be_focused()
        page.keyboard.press("ArrowLeft")
        expect(on_map(page, "A01")).to_be_focused()
        page.keyboard.press("+")
        page.keyboard.press("+")
        assert view_box(page)[2] < whole[2] / 2
        page.keyboard.press("0")
        assert view_box(page) == pytest.approx(whole)
        page.keyboard.press("Enter")
        expect(panel(page)).to_be_focused()
        expect(panel(page).locator("article h3").first).to_contain_text("A01")
        page.keyboard.press("Tab")
        expect(button(page, "Back to the storage zones")).to_be_focused()
        page.keyboard.press("Enter")
        expect(on_map(page, "A01")).to_be_focused()

    def test_a_pallet_that_gets_the_focus_comes_into_view(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store)).page
        on_map(page, "A01").focus()
        for _ in range(3):
            page.keyboard.press("+")
        on_map(page, "A09").focus()
        frame, pallet = page.locator(".drawing").bounding_box(), on_map(page, "A09").bounding_box()
        assert frame is not None
        assert pallet is not None
        assert frame["x"] <= pallet["x"]
        assert pallet["x"] + pallet["width"] <= frame["x"] + frame["width"]

    def test_the_map_can_be_skipped(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store)).page
        skip = page.get_by_role("link", name="Skip the map")
        skip.focus()
        expect(skip).to_be_in_viewport()
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.closest('.floor') === null")

    def test_a_tap_beside_a_small_pallet_means_that_pallet(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store), PHONE, touch=True).page
        box = on_map(page, "A07").bounding_box()
        assert box is not None
        assert box["width"] < LEAST_TARGET_PX, "a pallet is smaller than a finger here, or this shows nothing"
        page.locator(".drawing").scroll_into_view_if_needed()
        box = on_map(page, "A07").bounding_box()
        assert box is not None
        page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] + 10)
        expect(panel(page).locator("article h3").first).to_contain_text("A07")

    def test_a_drag_moves_the_map_and_opens_nothing(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store)).page
        button(page, "Closer").click()
        button(page, "Closer").click()
        before = view_box(page)
        # The pallet stays under the pointer all the way, so letting go is a click on it unless a drag is told apart.
        pallet = on_map(page, "A05").bounding_box()
        assert pallet is not None
        start = (pallet["x"] + pallet["width"] / 2, pallet["y"] + pallet["height"] / 2)
        page.mouse.move(*start)
        page.mouse.down()
        page.mouse.move(start[0] - 90, start[1] - 40, steps=4)
        page.mouse.up()
        after = view_box(page)
        assert after[0] > before[0]
        assert after[1] > before[1]
        expect_zones(page)
        on_map(page, "A05").click()
        expect(panel(page).locator("article h3").first).to_contain_text("A05")

    def test_a_drag_goes_on_beyond_the_edge(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store)).page
        for _ in range(3):
            button(page, "Closer").click()
        before = view_box(page)
        frame = page.locator(".drawing > svg").bounding_box()
        assert frame is not None
        x, y = frame["x"] + frame["width"] - 60, frame["y"] + frame["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 160, y, steps=8)
        page.mouse.up()
        moved = (before[0] - view_box(page)[0]) * frame["width"] / before[2]
        assert moved == pytest.approx(160, abs=8)

    def test_two_fingers_look_closer(self, visit: Open, service: Service) -> None:
        made = visit(service.of(service.store), TABLET, touch=True)
        page = made.page
        page.locator(".drawing").scroll_into_view_if_needed()
        whole = view_box(page)
        box = page.locator(".drawing").bounding_box()
        assert box is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        fingers = page.context.new_cdp_session(page)

        def touch(kind: str, *points: float) -> None:
            spots: list[dict[str, Any]] = [
                {"x": x + offset, "y": y, "id": place} for place, offset in enumerate(points)
            ]
            fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": spots})

        touch("touchStart", -40, 40)
        for spread in (60, 90, 120):
            touch("touchMove", -spread, spread)
        touch("touchEnd")
        assert view_box(page)[2] < whole[2] / 2

    def test_the_wheel_belongs_to_the_page_until_one_turns_to_the_map(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store)).page
        page.locator(".drawing").scroll_into_view_if_needed()
        whole = view_box(page)
        box = page.locator(".drawing").bounding_box()
        assert box is not None
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.mouse.wheel(0, -50)
        page.wait_for_timeout(100)
        assert view_box(page) == whole
        on_map(page, "A05").focus()
        page.mouse.wheel(0, -300)
        page.wait_for_function(
            "box => document.querySelector('.drawing > svg').viewBox.baseVal.width < box", arg=whole[2]
        )


class TestWithoutScript:
    def test_a_pallet_on_the_map_leads_to_its_entry(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store), script=False).page
        expect(page.get_by_text("Tap a pallet to go to its entry below.")).to_be_visible()
        expect(page.locator(".map-buttons")).to_be_hidden()
        on_map(page, "A10").click()
        assert page.url.endswith("#pallet-A10")
        expect(page.locator("#pallet-A10")).to_be_in_viewport()
        expect(page.locator("#pallet-A10")).to_contain_text("bulging")

    def test_everything_folded_can_be_unfolded(self, visit: Open, service: Service) -> None:
        page = visit(service.of(service.store), script=False).page
        fold = page.locator("#finding-1 details")
        expect(fold.locator("p").first).to_be_hidden()
        fold.locator("summary").click()
        expect(fold.locator("p").first).to_be_visible()

    def test_a_file_with_faults_comes_back_as_a_list_of_them(self, visit: Open, service: Service) -> None:
        made = visit(service.address, script=False)
        page = made.page
        file = json.loads(dump(service.bare))
        file["drums"][0]["fill_pct"] = -1
        page.locator("input[name=survey]").set_input_files(
            {"name": "spoilt.json", "mimeType": "application/json", "buffer": json.dumps(file).encode()}
        )
        made_before = len(page.locator(".site").all())
        button(page, "Import").click()
        expect(page.get_by_role("alert")).to_contain_text("drums[0].fill_pct")
        assert len(page.locator(".site").all()) == made_before
        made.complaints.clear()  # the browser reports the 422 that was asked for

    def test_a_file_goes_in(self, visit: Open, service: Service) -> None:
        build = SurveyBuilder("Lock-up by form")
        build.floor("Hall", width_m=5, depth_m=5)
        page = visit(service.address, script=False).page
        page.locator("input[name=survey]").set_input_files(
            {"name": "lock-up.json", "mimeType": "application/json", "buffer": dump(build.survey())}
        )
        button(page, "Import").click()
        expect(page.locator("h1")).to_have_text("Lock-up by form")
        expect(page.get_by_role("status")).to_contain_text("2 added")


@pytest.mark.parametrize(
    ("size", "theme"),
    [(DESK, "light"), (DESK, "dark"), (TABLET, "dark"), (PHONE, "light")],
    ids=["desk-light", "desk-dark", "tablet-dark", "phone-light"],
)
def test_no_serious_finding_of_the_accessibility_checker(
    visit: Open, service: Service, axe: str, size: ViewportSize, theme: str
) -> None:
    for address in (service.address, service.of(service.store), f"{service.address}/nothing"):
        made = visit(address, size, theme=theme)
        if address.endswith("/nothing"):
            made.complaints.clear()  # the browser reports the 404 that was asked for
        else:
            open_all(made.page)
        assert serious(made.page, axe) == []


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES.keys())
class TestEverySize:
    def test_targets_are_large_enough_for_a_glove(self, visit: Open, service: Service, size: ViewportSize) -> None:
        for address in (service.address, service.of(service.store)):
            page = visit(address, size).page
            open_all(page)
            assert page.evaluate(SMALL_TARGETS, LEAST_TARGET_PX) == []

    def test_nothing_is_wider_than_the_screen_and_no_text_is_small(
        self, visit: Open, service: Service, size: ViewportSize
    ) -> None:
        for address in (service.address, service.of(service.store)):
            page = visit(address, size).page
            open_all(page)
            assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
            assert page.evaluate(SMALL_TEXT) == []


def test_long_and_foreign_names_stay_on_the_page(visit: Open, service: Service) -> None:
    build = SurveyBuilder("مستودع المواد الكيميائية 東京化学倉庫 " + "LongWordWithoutEnd" * 6, address="ж" * 180)
    build.floor("階 " + "f" * 120, width_m=8, depth_m=6)
    build.zone("منطقة" * 8, [(0, 0), (8, 0), (8, 6), (0, 6)], title="t" * 160)
    build.pallet("ق" * 60, at=(3, 3))
    build.drum("d" * 150, product_text="p" * 300)
    survey = build.survey()
    for size in (DESK, PHONE):
        page = visit(service.address, size).page
        page.locator("input[name=survey]").set_input_files(
            {"name": "n" * 150 + ".json", "mimeType": "application/json", "buffer": dump(survey)}
        )
        button(page, "Import").click()
        page.wait_for_url("**/sites/**")
        open_all(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        page.goto(service.address)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]


def open_all(page: Page) -> None:
    """Unfold what is folded, so that nothing escapes a check."""
    page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")


def serious(page: Page, axe: str) -> list[str]:
    """Give what the checker finds serious or critical, with the rule and the place."""
    # Evaluated by the debugger, not added as an element: the content policy of the page stays as strict as it is.
    page.evaluate(axe)
    found: list[str] = page.evaluate(CHECK)
    return found


# Beside the rules that are on by themselves: text reaches 7:1 (WCAG 2.2, 1.4.6) and targets keep apart (2.5.8).
CHECK = """async () => {
  const rules = { 'color-contrast-enhanced': { enabled: true }, 'target-size': { enabled: true } };
  const { violations } = await axe.run(document, { resultTypes: ['violations'], rules });
  return violations
    .filter((violation) => ['serious', 'critical'].includes(violation.impact))
    .map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map((node) => node.html.slice(0, 160)).join(' | ')}`);
}"""

SMALL_TARGETS = """least => {
  const small = [];
  for (const target of document.querySelectorAll('a[href], button, input, summary, select, textarea')) {
    const box = target.getBoundingClientRect();
    const seen = target.checkVisibility() && box.width > 0 && !target.closest('.skip, .skip-map');
    // On the map a pallet has its size on the floor; a tap near it counts, and the list below it leads there too.
    const onMap = target.closest('.drawing') !== null;
    // WCAG 2.2, 2.5.5: a link within a sentence is as high as its line.
    const inSentence = target.closest('label, .sentence') !== null && target.tagName === 'A';
    if (seen && !onMap && !inSentence && (box.height < least - 0.5 || box.width < least - 0.5)) {
      small.push(`${target.outerHTML.slice(0, 90)} ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`);
    }
  }
  return small;
}"""

SMALL_TEXT = """() => {
  const small = new Set();
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const owner = walker.currentNode.parentElement;
    if (walker.currentNode.textContent.trim() && owner.checkVisibility() && !owner.closest('svg')) {
      const size = parseFloat(getComputedStyle(owner).fontSize);
      if (size < 16) small.add(`${size} px: ${walker.currentNode.textContent.trim().slice(0, 60)}`);
    }
  }
  return [...small];
}"""
