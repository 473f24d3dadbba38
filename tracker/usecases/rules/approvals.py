"""Approvals from before findings had facts: each that still holds gets the facts it was given for."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime

from tracker.domain.findings import Finding, Level
from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Message, _
from tracker.domain.rules.engine import judge, judge_in
from tracker.store.queries import Queries
from tracker.store.rules.old_findings import OldQuestion, questions_in_sentences, rewrite_findings
from tracker.store.unit_of_work import Store

_EVERY_FIRING = 10_000


def carry_over(store: Store, say: Callable[[Message], str], *, at: datetime) -> int:
    """Judge every piece with an old question, and keep what is found today where it is what was found then.

    Gives the number of questions rewritten. Done again it finds nothing more to do; `say` words a message as it was
    worded when it was asked.
    """
    carried = 0
    with store.writing() as connection:
        for row in questions_in_sentences(connection):
            today = tuple(_asked_today(store.read, row, at))
            found = tuple(next((now for now in today if _is_same(now, then, say)), then) for then in row.findings)
            if found != row.findings:
                rewrite_findings(connection, row.id, found)
                carried += 1
    return carried


def not_carried(store: Store) -> tuple[Message, ...]:
    """The approvals of pieces in the studio that hold no longer, since nothing found today is what they were for."""
    with store.writing() as connection:
        rows = [row for row in questions_in_sentences(connection) if row.allows]
    routes = store.read.catalog().routes
    words = _("{piece}: the approval for {firing} has ended: “{text}” Ask again if you still need it.")
    return tuple(
        Message(
            "approval-not-carried", words, piece=piece.ref, firing=routes[row.route].title, text=one.message["text"]
        )
        for row in rows
        if (piece := store.read.pieces.piece(number=row.piece_id)) is not None
        for one in row.findings
        if _is_a_sentence(one)
    )


def _is_a_sentence(finding: Finding) -> bool:
    return tuple(finding.message) == ("text",)


def _asked_today(reader: Queries, row: OldQuestion, at: datetime) -> Iterator[Finding]:
    """What the rules leave to the instructor for this piece on this firing type, in its queue and at each open kiln."""
    catalog, piece = reader.catalog(), reader.pieces.piece(number=row.piece_id)
    if piece is None:
        return
    now = piece.at(at)
    yield from judge_in(catalog, now, catalog.routes[row.route]).of(Level.ASK)
    for firing in reader.firings.listed(limit=_EVERY_FIRING):
        if firing.route == row.route and firing.stage in {FiringStage.PLANNED, FiringStage.LOADING}:
            way, kiln = catalog.routes[row.route].at(firing.target), catalog.kilns[firing.kiln]
            yield from judge(replace(now, dry=True), way, catalog.practice, kiln).of(Level.ASK)


def _is_same(now: Finding, then: Finding, say: Callable[[Message], str]) -> bool:
    """Whether a finding is the one that an old sentence tells: the same rule, every name in it, and the same numbers.

    Words of ours may have changed since; what was found may not.
    """
    if not _is_a_sentence(then) or now.rule != then.rule:
        return False
    today, old = _bare(say(now.message)), _bare(str(then.message["text"]))
    names = (_bare(name) for name in _names(now.message))
    named = {word for name in names if set(name) <= set(today) for word in name}
    return named <= set(old) and _numbers(today) == _numbers(old)


def _names(message: Message) -> Iterator[str]:
    """The texts among the facts of a message and of those inside it: names of glazes, clays and kilns."""
    for _name, fact in message.facts:
        for one in fact if isinstance(fact, tuple) else (fact,):
            if isinstance(one, Message):
                yield from _names(one)
            elif isinstance(one, str):
                yield one


def _numbers(words: list[str]) -> list[str]:
    return sorted(word for word in words if word[0].isdigit())


def _bare(text: str) -> list[str]:
    """The words and numbers of a sentence, without what is written differently today: commas and units."""
    return re.findall(r"\w+(?:\.\d+)?", text.replace(",", "").casefold())
