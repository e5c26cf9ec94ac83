#!/bin/sh
# SPDX-License-Identifier: LGPL-2.1-or-later
# Plans the demonstration hull: sh examples/demo.sh [OUTDIR]   (default examples/out)
#
# Installs what is missing (as root, or with sudo); needs no network when nothing is.
set -eu
top=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$top/tests/debian.sh"

[ $# -le 1 ] || stop "say at most one folder: sh examples/demo.sh [OUTDIR]"
out=${1:-$top/examples/out}
case $out in
/*) ;;
*) out=$(pwd)/$out ;;
esac

# shellcheck disable=SC2046
install $(packages_to_plan)
cd "$top"
if ! [ -s examples/hull/marram.FCStd ] || ! [ -s examples/hull/marram.step ]; then
	"$python" examples/make_hull.py examples/hull
fi
exec "$python" -m strakeplan examples/marram.toml --out "$out"
