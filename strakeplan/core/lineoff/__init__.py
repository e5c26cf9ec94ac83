# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lining off: belts between lines, seams and strakes."""
