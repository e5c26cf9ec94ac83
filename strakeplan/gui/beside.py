# SPDX-License-Identifier: LGPL-2.1-or-later
"""Long work beside the program: in a thread of its own, on plain data, asked now and then how far it is."""

import threading
import traceback

from ..core.errors import PlanError

__all__ = ["Work"]


class _Abandoned(Exception):
    """Nobody waits for the result any more."""


class Work:
    """A function that runs in a thread.

    It never touches a document or a window: whoever began it looks from time to time what has
    become of it.

    Parameters
    ----------
    call : callable
        (tell, stop) -> result. It calls tell(...) as it goes on, and asks stop() whether to end
        with what it has.

    Attributes
    ----------
    told : tuple or None
        What was told last.
    result : object or None
        Once it has ended well.
    fault : str
        What was wrong, for the user; empty for nothing.
    details : str
        Where in the program it went wrong, where the user cannot mend it.
    """

    def __init__(self, call):
        self.told = self.result = None
        self.fault = self.details = ""
        self._call = call
        self._stop, self._abandoned = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._run, name="strakeplan", daemon=True)
        self._thread.start()

    @property
    def running(self):
        return self._thread.is_alive()

    def stop(self):
        """Let it end the part it is at with what it has; asked again, the next part too."""
        self._stop.set()

    def abandon(self, wait=0.0):
        """Let it end as soon as it can, without a result; wait for that so many seconds."""
        self._abandoned.set()
        if wait:
            self._thread.join(wait)

    def _run(self):
        try:
            self.result = self._call(self._tell, self._asked)
        except _Abandoned:
            pass
        except PlanError as fault:
            self.fault = str(fault)
        except Exception as fault:  # the program goes on, and the user is told
            self.fault, self.details = f"It went wrong: {fault}", traceback.format_exc()

    def _tell(self, *told):
        if self._abandoned.is_set():
            raise _Abandoned
        self.told = told

    def _asked(self):
        if self._abandoned.is_set():
            raise _Abandoned
        asked = self._stop.is_set()
        self._stop.clear()
        return asked
