# SPDX-License-Identifier: LGPL-2.1-or-later
"""Tables carried to the boat and to the bench."""
