"""A page as its readers get it: what axe-core finds, what sticks out, and what is too small to hit."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence

    from playwright.sync_api import Page, ViewportSize

# axe-core 4.14.1 with its licence (MPL 2.0), as its makers publish it. It checks WCAG 2.2 at levels A and AA.
AXE = Path(__file__).parent / "axe" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]

CONTRAST, TARGET_SIZE = "color-contrast", "target-size"

SMALLEST = 24  # CSS pixels; WCAG 2.2, success criterion 2.5.8, Target Size (Minimum).
MAIN_ACTION = 48  # CSS pixels; the house's own measure for wet and gloved hands.

_NARROW: ViewportSize = {"width": 360, "height": 740}
_WIDE: ViewportSize = {"width": 1280, "height": 800}

# What a finger would miss: targets under the least size, and main actions under theirs.
_TOO_SMALL = """(([smallest, main]) => {
    const seen = (one) => one.checkVisibility({checkVisibilityCSS: true}) && !one.closest(".vh, .skip");
    const says = (one, box) => {
        const size = `${box.width.toFixed(0)}x${box.height.toFixed(0)}`;
        return `${one.tagName.toLowerCase()} "${(one.textContent || one.name).trim().slice(0, 40)}" ${size}`;
    };
    const targets = "a[href], button, input:not([type=hidden]), select, textarea, summary";
    const found = [];
    for (const one of document.querySelectorAll(targets)) {
        // A link within a sentence is as high as its line, which the criterion allows.
        if (!seen(one) || (one.tagName === "A" && getComputedStyle(one).display === "inline")) continue;
        // A radio or a check is hit by its label.
        const target = one.matches("[type=radio], [type=checkbox]") ? one.closest("label") || one : one;
        const box = target.getBoundingClientRect();
        if (Math.min(box.width, box.height) < smallest) found.push(says(target, box));
        if (one.matches(".btn.main") && box.height < main) found.push(says(one, box));
    }
    return found;
})"""

_STICKS_OUT = """(() => {
    const root = document.documentElement;
    const width = root.clientWidth;
    if (root.scrollWidth <= width) return [];
    const all = Array.from(document.querySelectorAll("body *"));
    const wide = all.filter((one) => one.getBoundingClientRect().right > width + 1);
    return [`${root.scrollWidth} on ${width}`, ...wide.slice(0, 5).map((one) => one.outerHTML.slice(0, 90))];
})"""

_EACH_IN_TURN = f"""async (addresses) => {{
    const found = {{}};
    for (const address of addresses) {{
        const text = await (await fetch(address)).text();
        const main = new DOMParser().parseFromString(text, "text/html").querySelector("main");
        document.querySelector("main").replaceWith(main);
        found[address] = {_STICKS_OUT}();
    }}
    return found;
}}"""

# What has the focus and can't be seen, because something that sticks to an edge of the window lies over all of it:
# WCAG 2.2, success criterion 2.4.11, Focus Not Obscured (Minimum).
_FOCUS_COVERED = """(() => {
    const sticks = (one) => ["sticky", "fixed"].includes(getComputedStyle(one).position);
    const bars = Array.from(document.querySelectorAll("body *")).filter(sticks);
    if (!bars.length) return [];
    const found = [], before = document.activeElement;
    const targets = "a[href], button, input:not([type=hidden]), select, textarea, summary";
    const places = [0.1, 0.5, 0.9].flatMap((x) => [0.1, 0.5, 0.9].map((y) => [x, y]));
    for (const one of document.querySelectorAll(targets)) {
        if (!one.checkVisibility({checkVisibilityCSS: true}) || one.disabled) continue;
        one.focus();
        const target = one.matches("[type=radio], [type=checkbox]") ? one.closest("label") || one : one;
        const box = target.getBoundingClientRect();
        const at = ([x, y]) => document.elementFromPoint(box.left + box.width * x, box.top + box.height * y);
        const over = places.map(at);
        const isUnder = (hit) => !hit || bars.some((bar) => bar.contains(hit) && !bar.contains(one));
        if (over.every(isUnder)) found.push(one.outerHTML.slice(0, 90));
    }
    document.activeElement.blur();
    before.focus();
    scrollTo(0, 0);
    return found;
})"""

# Every way in which this page shows text: its color, size and weight, and what is painted behind it.
_TEXT_SHOWN = """(() => {
    const painted = new Map();
    const behind = (one) => {
        if (!one) return "";
        if (!painted.has(one)) {
            const style = getComputedStyle(one);
            const own = [style.backgroundColor, style.backgroundImage, style.opacity, style.filter].join(" ");
            painted.set(one, own === "rgba(0, 0, 0, 0) none 1 none" ? behind(one.parentElement)
                : `${own} on ${behind(one.parentElement)}`);
        }
        return painted.get(one);
    };
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const shown = new Set(document.querySelectorAll("input, select, textarea"));
    while (texts.nextNode()) if (texts.currentNode.data.trim()) shown.add(texts.currentNode.parentElement);
    const ways = new Set();
    for (const one of shown) {
        if (!one.checkVisibility({visibilityProperty: true})) continue;
        const {color, fontSize, fontWeight, textShadow} = getComputedStyle(one);
        ways.add([color, fontSize, fontWeight, textShadow, behind(one)].join("; "));
    }
    return Array.from(ways);
})"""

_readable: set[str] = set()
"""Ways to show text that axe-core found to have enough contrast, by light or in the dark."""

# Which elements show: of a page's own part, yes or no for each in turn; and those of the frame around it.
_SHOWN = """(() => {
    const own = [], frame = [];
    for (const one of document.querySelectorAll("body *")) {
        const shows = one.checkVisibility();
        if (one.closest("main")) own.push(+shows);
        else if (shows) frame.push(`${one.tagName} ${one.className}`);
    }
    return [own.join(""), frame.join("; ")];
})"""

_frames: set[str] = set()
"""Frames that axe-core has looked at in a wide window; most pages of a reader share theirs."""

# In one call: how text is shown, which elements show, what sticks out, what is too small, and what covers the focus.
_SEEN = f"(sizes) => [{_TEXT_SHOWN}(), {_SHOWN}(), {_STICKS_OUT}(), {_TOO_SMALL}(sizes), {_FOCUS_COVERED}()]"

_AXE_FINDS = """(async ([runOnly, rules]) => {
    const found = await axe.run(document, {runOnly, rules, resultTypes: ["violations"], preload: false});
    return found.violations;
})"""


def _axe_finds(page: Page, ways: set[str], *, everything: bool) -> list[str]:
    """What axe-core, once it is there, has against the page: by all its rules or by none but contrast.

    It looks at contrast only where text is shown in `ways` of which some are new.
    """
    is_new = not ways <= _readable
    if everything:
        # One rule that axe-core leaves out unless it is asked for, and one that isn't always asked for.
        more = {TARGET_SIZE: {"enabled": True}, CONTRAST: {"enabled": is_new}}
        found = page.evaluate(_AXE_FINDS, [{"type": "tag", "values": RULES}, more])
    elif is_new:
        found = page.evaluate(_AXE_FINDS, [{"type": "rule", "values": [CONTRAST]}, {}])
    else:
        return []
    if all(one["id"] != CONTRAST for one in found):
        _readable.update(ways)
    return _told(found)


def _told(found: list[dict[str, Any]]) -> list[str]:
    return [f"{one['id']}: {one['help']} {[node['html'][:120] for node in one['nodes'][:3]]}" for one in found]


def sticks_out(page: Page) -> list[str]:
    """What makes the page wider than its window."""
    found: list[str] = page.evaluate(_STICKS_OUT)
    return found


def sticking_out_of_each(page: Page, addresses: Sequence[str]) -> dict[str, list[str]]:
    """What makes the main part of each page too wide, one after the other within the frame of the page that is open."""
    found: dict[str, list[str]] = page.evaluate(_EACH_IN_TURN, addresses)
    return {address: what for address, what in found.items() if what}


def faults(page: Page) -> dict[str, list[str]]:
    """Everything wrong with an open page at every width, by light and in the dark; empty when nothing is."""
    found: dict[str, list[str]] = {}
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    narrow, wide = _NARROW["width"], _WIDE["width"]

    page.set_viewport_size(_NARROW)
    found[f"{narrow}, dark"] = _in_the_dark(page)
    ways, (own, _), misplaced = _seen(page, narrow)
    found |= misplaced
    found[f"{narrow}, axe"] = _axe_finds(page, ways, everything=True)

    page.set_viewport_size(_WIDE)
    ways, (shown, frame), misplaced = _seen(page, wide)
    found |= misplaced
    # The same elements break no other rule in a wide window, and what is too small there was just looked for.
    is_new = shown != own or frame not in _frames
    _frames.add(frame)
    found[f"{wide}, axe"] = _axe_finds(page, ways, everything=is_new)
    if is_new:
        found[f"{wide}, dark"] = _in_the_dark(page)

    page.set_viewport_size({"width": 320, "height": 640})
    found["320, wide"] = sticks_out(page)
    return {where: what for where, what in found.items() if what}


def _in_the_dark(page: Page) -> list[str]:
    """What is hard to read in the dark; by light again, nothing is still on its way from one color to the other."""
    page.emulate_media(color_scheme="dark", reduced_motion="reduce")
    found = _axe_finds(page, set(page.evaluate(f"{_TEXT_SHOWN}()")), everything=False)
    page.emulate_media(color_scheme="light", reduced_motion="reduce")
    return found


def _seen(page: Page, width: int) -> tuple[set[str], tuple[str, str], dict[str, list[str]]]:
    """How the page shows text, which elements of it and its frame show, and what of it is misplaced.

    Misplaced is what sticks out of the window, is too small to hit, or has the focus and can't be seen.
    """
    ways, shown, out, small, covered = page.evaluate(_SEEN, [SMALLEST, MAIN_ACTION])
    return set(ways), shown, {f"{width}, wide": out, f"{width}, small": small, f"{width}, covered": covered}
