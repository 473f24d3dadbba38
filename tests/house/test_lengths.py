"""What is read with wet hands is short: cautions, the sentences of pages, buttons."""

from __future__ import annotations

import re

from tests.house.sentences import Said, length, marked, sentences
from tests.house.tree import files, text

LONGEST = 20
"""The words of a sentence that is read with wet hands."""
LONGEST_BUTTON = 5
BUTTON = re.compile(
    r"""(?:main_button|quiet_button|post_button|main_link|quiet_link)\(\s*(?:_|ngettext)\("([^"]+)"|<button[^>]*>\{\{\s*_\("([^"]+)\""""
)


def buttons() -> list[Said]:
    """What the buttons of all pages say."""
    return [
        Said(path, source.count("\n", 0, found.start()) + 1, found[1] or found[2])
        for path in files()
        if path.suffix == ".html" and path.is_relative_to("tracker/web/templates")
        for source in [text(path)]
        for found in BUTTON.finditer(source)
    ]


def test_a_button_says_what_it_does_in_a_few_words() -> None:
    assert len(buttons()) > 100
    assert [str(one) for one in buttons() if length(one.text) > LONGEST_BUTTON or one.text.endswith(".")] == []


def test_a_caution_is_said_in_short_sentences() -> None:
    cautions = [one for one in marked() if one.path.name == "cautions.py"]

    assert cautions
    assert [
        f"{one.path}:{one.line}: {said}" for one in cautions for said in sentences(one) if length(said) > LONGEST
    ] == []


def test_what_a_page_says_is_said_in_short_sentences() -> None:
    pages = [one for one in marked() if one.path.is_relative_to("tracker/web")]

    assert [
        f"{one.path}:{one.line}: {said}" for one in pages for said in sentences(one) if length(said) > LONGEST
    ] == []
