# SPDX-License-Identifier: LGPL-2.1-or-later
"""What wood bears: species, strains and forces of planks that are bent, sprung and twisted."""
