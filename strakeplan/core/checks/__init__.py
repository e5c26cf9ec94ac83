# SPDX-License-Identifier: LGPL-2.1-or-later
"""Checks along every strake before wood is cut: figures, limits, verdicts and a page to read."""
