# SPDX-License-Identifier: LGPL-2.1-or-later
"""What all tests share: the repository on the path, and who is tested with what."""

import platform

import numpy
import scipy


def pytest_report_header():
    """The versions the figures below were measured with."""
    lines = [f"Python {platform.python_version()}, numpy {numpy.__version__}, scipy {scipy.__version__}"]
    try:
        from strakeplan.host.locate import use_host

        lines.append("FreeCAD " + ".".join(use_host().Version()[:3]))
    except ValueError as error:
        # core tests run without a host; host tests say themselves what is missing
        lines.append(f"no FreeCAD: {error}")
    return lines
