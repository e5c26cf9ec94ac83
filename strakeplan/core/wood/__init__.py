# SPDX-License-Identifier: LGPL-2.1-or-later
"""Wood: what it stands, and what it takes to bend a plank of it."""
