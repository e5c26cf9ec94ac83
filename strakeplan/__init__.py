# SPDX-License-Identifier: LGPL-2.1-or-later
"""strakeplan: lining off, marking and getting out carvel planking on a modelled hull."""

__version__ = "0.1.0"
