# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lines on the hull: what a string or a batten does."""
