# SPDX-License-Identifier: LGPL-2.1-or-later
"""Search for the line-off that leaves its worst strake the most margin."""
