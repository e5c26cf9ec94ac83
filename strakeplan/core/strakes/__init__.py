# SPDX-License-Identifier: LGPL-2.1-or-later
"""All strakes of a line-off at once, as arrays."""
