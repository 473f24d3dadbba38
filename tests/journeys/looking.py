"""A page as its readers get it: what axe-core finds, what sticks out, and what is too small to hit."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from playwright.sync_api import Page

# axe-core 4.14.1 with its licence (MPL 2.0), as its makers publish it. It checks WCAG 2.2 at levels A and AA.
AXE = Path(__file__).parent / "axe" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]

CONTRAST = "color-contrast"

SMALLEST = 24  # CSS pixels; WCAG 2.2, success criterion 2.5.8, Target Size (Minimum).
MAIN_ACTION = 48  # CSS pixels; the house's own measure for wet and gloved hands.

# Each step changes one thing of the window, and the last leads back to light.
_LOOKS: tuple[tuple[int, int, tuple[Literal["light", "dark"], ...]], ...] = (
    (360, 740, ("light", "dark")),
    (1280, 800, ("dark", "light")),
)

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

_AXE_FINDS = """(async ([runOnly, rules]) => {
    const found = await axe.run(document, {runOnly, rules, resultTypes: ["violations"], preload: false});
    return found.violations;
})"""


def _axe_finds(page: Page, *, contrast_alone: bool = False) -> list[str]:
    """What axe-core, once it is there, has against the page, each with its first places.

    Contrast is looked at only where text is shown in a way that is new; `contrast_alone` looks at nothing else.
    """
    ways = set(page.evaluate(f"{_TEXT_SHOWN}()"))
    is_new = not ways <= _readable
    if contrast_alone and not is_new:
        return []
    runs = {"type": "rule", "values": [CONTRAST]} if contrast_alone else {"type": "tag", "values": RULES}
    # A rule that axe-core leaves out unless it is asked for.
    rules = {} if contrast_alone else {"target-size": {"enabled": True}, CONTRAST: {"enabled": is_new}}
    found = page.evaluate(_AXE_FINDS, [runs, rules])
    if is_new and all(one["id"] != CONTRAST for one in found):
        _readable.update(ways)
    return _told(found)


def _told(found: list[dict[str, Any]]) -> list[str]:
    return [f"{one['id']}: {one['help']} {[node['html'][:120] for node in one['nodes'][:3]]}" for one in found]


def sticks_out(page: Page) -> list[str]:
    """What makes the page wider than its window."""
    found: list[str] = page.evaluate(_STICKS_OUT)
    return found


def faults(page: Page) -> dict[str, list[str]]:
    """Everything wrong with an open page at every width, by light and in the dark; empty when nothing is."""
    found: dict[str, list[str]] = {}
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    for width, height, schemes in _LOOKS:
        page.set_viewport_size({"width": width, "height": height})
        for scheme in schemes:
            # Colors that are still on their way from light to dark would be measured halfway.
            page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
            if scheme == "dark":  # It changes colors and nothing else.
                found[f"{width}, dark"] = _axe_finds(page, contrast_alone=True)
            else:
                found[f"{width}, axe"] = _axe_finds(page)
                found[f"{width}, wide"], found[f"{width}, small"], found[f"{width}, covered"] = page.evaluate(
                    f"(sizes) => [{_STICKS_OUT}(), {_TOO_SMALL}(sizes), {_FOCUS_COVERED}()]", [SMALLEST, MAIN_ACTION]
                )
    page.set_viewport_size({"width": 320, "height": 640})
    found["320, wide"] = sticks_out(page)
    return {where: what for where, what in found.items() if what}
