# SPDX-License-Identifier: LGPL-2.1-or-later
"""Makes FreeCAD importable before the modules here import it."""

import pytest

from strakeplan.host.locate import use_host

FreeCAD = use_host()


@pytest.fixture
def document():
    """An empty document, closed after the test."""
    doc = FreeCAD.newDocument()
    yield doc
    FreeCAD.closeDocument(doc.Name)
