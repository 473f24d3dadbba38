"""The application for a server of your choice: `gunicorn tracker.wsgi:app`, with the settings of the environment."""

from __future__ import annotations

import os
import sys
from contextlib import ExitStack
from typing import TYPE_CHECKING, NoReturn

from tracker.app import create_app
from tracker.domain.refusals import Refusal
from tracker.settings import BadSettings, Settings
from tracker.store.locks import serving
from tracker.store.presence import must_be_current, must_hold_a_studio
from tracker.web.request_log import begin_log
from tracker.wording.reader import ANYONE
from tracker.wording.render import say_refusal

if TYPE_CHECKING:
    from flask import Flask

_NO_USE_TO_TRY_AGAIN = 3
"""With any other status than this, gunicorn starts its workers again and again."""

_held = ExitStack()
"""What keeps others from restoring into the database, for as long as this process runs."""


def _started() -> Flask:
    """The application, or the end of this process with the sentence that says why not."""
    try:
        settings = Settings.from_environment(os.environ)
        must_hold_a_studio(settings.database)
        must_be_current(settings.database)
    except BadSettings as refusal:
        _end(str(refusal))
    except Refusal as refusal:
        _end(say_refusal(refusal, ANYONE))
    _held.enter_context(serving(settings.database))
    begin_log(settings)
    return create_app(settings)


def _end(sentence: str) -> NoReturn:
    sys.stderr.write(f"{sentence}\n")
    sys.exit(_NO_USE_TO_TRY_AGAIN)


app = _started()
"""What a WSGI server serves."""
