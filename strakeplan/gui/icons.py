# SPDX-License-Identifier: LGPL-2.1-or-later
"""Where the icons lie."""

import os

__all__ = ["FOLDER", "icon"]

FOLDER = os.path.join(
    os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__)))),
    "resources",
    "icons",
)


def icon(name):
    """Path of an icon, by the KIND of the object it stands for or the workbench's name."""
    return os.path.join(FOLDER, f"{name}.svg")
