# SPDX-License-Identifier: LGPL-2.1-or-later
"""What has to wait until a document's recompute is over.

0.20 remembers the names of objects that were removed during a recompute and removes
whatever bears those names at the end of every later one.  So objects are removed, and
new ones called up to date, when the host tells that it is done; still before the
command that started it closes its undo step.
"""

import FreeCAD

__all__ = ["after_recompute"]

_waiting = {}
_observer = None


class _Observer:
    """Called by the host."""

    def slotRecomputedDocument(self, document):
        for call in _waiting.pop(document.Name, []):
            call()

    def slotDeletedDocument(self, document):
        _waiting.pop(document.Name, None)


def after_recompute(document, call):
    """Call something once, when the document's recompute now going on is over.

    Parameters
    ----------
    document : FreeCAD document
    call : callable without arguments
    """
    global _observer
    if _observer is None:
        _observer = _Observer()
        FreeCAD.addDocumentObserver(_observer)
    _waiting.setdefault(document.Name, []).append(call)
