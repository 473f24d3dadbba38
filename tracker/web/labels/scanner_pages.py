"""Setting up a scanner: test bars to scan, what arrives of each, and what to change."""

from __future__ import annotations

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from printing.bars import BAR_QUIET, bars
from tracker.domain.labels.keyboards import NAMES, Fit, Layout
from tracker.domain.labels.trial_bars import TRIAL_TITLES, Ending, Trial, TrialBar, layout_found, swapped, tried
from tracker.domain.message import Choice, Message, _
from tracker.domain.studio.people import Right
from tracker.web.auth import allows
from tracker.web.presenters import Plain
from tracker.web.stations import keep_layout, layout_here
from tracker.web.wording import said

pages = Blueprint("scanner", __name__)

LONGEST = 60
_RIGHT = Message("bar-arrives-right", _("Arrives correctly."))
_ODD = _("“{text}” arrived. That isn't a test barcode on any keyboard layout that Footring knows.")
_ENDINGS = {
    Ending.ENTER: ("good", Message("ends-with-enter", _("Ends with Enter, as it should."))),
    Ending.TAB: ("good", Message("ends-with-tab", _("Ends with Tab. That works too."))),
    Ending.NONE: (
        "stop",
        Message(
            "ends-with-nothing",
            _(
                "Sends nothing after a barcode. Set the scanner to end with Enter. "
                "Its manual may call it carriage return."
            ),
        ),
    ),
}
_PREFIXES = {
    False: Message("no-prefix", _("Sends nothing before a barcode. Good.")),
    True: Message("has-prefix", _("Sends the kind of barcode first, as in ]C1. That works too.")),
}


@pages.get("/scanner")
@allows(Right.MOVE)
def scanner() -> ResponseReturnValue:
    """Show the test bars, and what was found here before."""
    return _page({}, "")


@pages.post("/scanner")
@allows(Right.MOVE)
def try_bar() -> ResponseReturnValue:
    """Say how a scanned test bar arrived; once all of them have, keep the layout of this station."""
    arrived = {bar: request.form.get(bar, "")[:LONGEST] for bar in TrialBar if request.form.get(bar)}
    text = request.form.get("ref", "").strip()[:LONGEST]
    trial = tried(text)
    if trial is not None:
        arrived[trial.bar] = text
    answer = make_response(_page(arrived, "" if trial else text))
    fit = _fit(arrived)
    if len(arrived) == len(TrialBar) and fit is not None and not fit.caps_lock:
        keep_layout(answer, fit.layout)
    return answer


@pages.post("/scanner/forget")
@allows(Right.MOVE)
def forget() -> ResponseReturnValue:
    """Forget what was found at this station."""
    flash(said(Message("scanner-forgotten", _("The scanner isn't set up on this device anymore."))))
    answer = redirect(url_for("scanner.scanner"), 303)
    keep_layout(answer, None)
    return answer


def _fit(arrived: dict[TrialBar, str]) -> Fit | None:
    trials = [tried(text) for text in arrived.values()]
    return layout_found([one for one in trials if one is not None])


def _page(arrived: dict[TrialBar, str], odd: str) -> str:
    trials = {bar: tried(text) for bar, text in arrived.items()}
    ending = request.form.get("ending", Ending.ENTER)
    is_scanned = bool(arrived) or bool(odd)
    prefixed = any(one.has_prefix for one in trials.values() if one)
    others = []
    if is_scanned:
        others = [_ENDINGS[Ending(ending) if ending in set(Ending) else Ending.ENTER]]
    if arrived:
        others.append(("good", _PREFIXES[prefixed]))
    layout = layout_here()
    return render_template(
        "labels/scanner.html",
        tests=[_test(bar, trials.get(bar)) for bar in TrialBar],
        arrived=arrived,
        odd=Message("bar-arrives-odd", _ODD, text=odd) if odd else "",
        others=others,
        verdict=_verdict(arrived) if len(arrived) == len(TrialBar) else None,
        kept="" if layout is None or layout is Layout.US or arrived else NAMES[layout],
    )


def _test(bar: TrialBar, trial: Trial | None) -> Plain:
    symbol = bars(bar.text)
    wide = symbol.modules + 2 * BAR_QUIET
    path = "".join(f"M{first + BAR_QUIET} 0h{width}v1h-{width}z" for first, width in symbol.row)
    shown: Plain = {"title": TRIAL_TITLES[bar], "text": bar.text, "wide": wide, "path": path, "kind": "", "says": ""}
    if trial is None:
        return shown
    if trial.is_right:
        return {**shown, "kind": "good", "says": _RIGHT}
    pairs = tuple(_pair(sent, arrived) for sent, arrived in swapped(trial))
    words = Message("bar-arrives-swapped", _("Arrives with the wrong letters: {pairs}."), pairs=pairs)
    return {**shown, "kind": "needs", "says": words}


def _pair(sent: str, arrived: str) -> Message:
    if not arrived:
        return Message("arrives-as-nothing", _("{sent} as nothing"), sent=sent)
    return Message("arrives-as", _("{sent} as {arrived}"), sent=sent, arrived=arrived)


def _verdict(arrived: dict[TrialBar, str]) -> tuple[str, Message]:
    """What follows from all test bars together, and with which sign."""
    fit = _fit(arrived)
    if fit is None:
        return "stop", Message("no-layout-fits", _NO_LAYOUT)
    if fit.caps_lock:
        return "stop", Message("caps-lock-is-on", _("Turn off Caps Lock, then scan all three again."))
    is_us = "yes" if fit.layout is Layout.US else "no"
    words = Choice("is_us", {"yes": _("The scanner is set up. Nothing to change."), "no": _CORRECTED})
    return "good", Message("scanner-is-set-up", words, is_us=is_us, layout=NAMES[fit.layout])


_NO_LAYOUT = _(
    "These bars don't fit one keyboard layout. Set the scanner's keyboard country to that of this device. Its manual "
    "has the bars for it. Then scan all three again."
)
_CORRECTED = _(
    "The scanner is set up. It types as on a US keyboard, and this device has the {layout} layout. Footring corrects "
    "that on this device from now on."
)
