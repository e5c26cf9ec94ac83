#!/bin/sh
# SPDX-License-Identifier: LGPL-2.1-or-later
# Roots with other releases of FreeCAD, each a Debian release of its own in a folder.
#
#   sh tests/hosts.sh list                  names of the releases known here
#   sh tests/hosts.sh build NAME            build the root unless it is there; prints its folder
#   sh tests/hosts.sh run NAME COMMAND...   run a command in a copy of this repository inside it
#
# As root. STRAKEPLAN_ROOTS names the folder that keeps the roots.
set -eu
top=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$top/tests/debian.sh"

roots=${STRAKEPLAN_ROOTS:-${XDG_CACHE_HOME:-$HOME/.cache}/strakeplan/roots}
releases="bookworm trixie forky"
packages="freecad freecad-python3 python3-numpy python3-scipy python3-matplotlib python3-pytest xvfb xauth"
# changes whenever a root built before would no longer do
recipe="1: $packages"
# a mirror that answers no more must not hold up everything else
limit=${STRAKEPLAN_ROOT_SECONDS:-2400}

# mirror: address of the archive this machine installs Debian from, by apt's own word
mirror() {
	codename=$(. /etc/os-release && printf '%s' "${VERSION_CODENAME:-}")
	found=$(apt-get indextargets --format '$(REPO_URI)|$(ORIGIN)|$(LABEL)|$(COMPONENT)|$(RELEASE)' \
		'Created-By: Packages' 2>/dev/null |
		awk -F'|' -v release="$codename" '
			$4 != "main" { next }
			$2 == "Debian" && $3 == "Debian" { print $1; sure = 1; exit }
			# before the first update apt does not know whose archive it is
			$2 == "" && $5 == release && !guess { guess = $1 }
			END { if (!sure && guess) print guess }')
	case $found in
	mirror+file:*)
		found=$(sed -n '/^[^#]/{s/[[:space:]].*//;p;q;}' "${found#mirror+file:}")
		;;
	esac
	[ -n "$found" ] || stop "apt's configuration names no archive of Debian's main section."
	printf '%s\n' "$found"
}

ready() {
	[ "$(cat "$roots/$1/strakeplan-root" 2>/dev/null)" = "$recipe" ]
}

# apart COMMAND...: run it where its mounts end with it; plainly where that is not permitted
apart() {
	if unshare --mount --propagation private true 2>/dev/null; then
		unshare --mount --propagation private "$@"
	else
		"$@"
	fi
}

# build_in ROOT NAME: all that makes a root, in a folder that is not yet taken for one
build_in() {
	root=$1
	name=$2
	archive=$(mirror)
	script=/usr/share/debootstrap/scripts/$name
	# every release newer than this debootstrap is made as the newest it knows
	[ -e "$script" ] || script=/usr/share/debootstrap/scripts/sid
	include=
	case $archive in
	https:*) include=--include=ca-certificates ;;
	esac
	debootstrap --variant=minbase $include "$name" "$root" "$archive" "$script"
	mkdir -p "$root/etc/apt/apt.conf.d" "$root/etc/dpkg/dpkg.cfg.d"
	{
		# the release files of an archive that stands still run out
		printf '%s\n' 'Acquire::Check-Valid-Until "false";' 'Acquire::Languages "none";' \
			'APT::Install-Recommends "false";' 'APT::Keep-Downloaded-Packages "false";'
		apt-config dump | grep -iE '^Acquire::(http|https|ftp)::(Proxy|CaInfo)' || true
	} >"$root/etc/apt/apt.conf.d/90strakeplan"
	# the root is made anew rather than mended: no need to wait for the disk
	printf '%s\n' force-unsafe-io 'path-exclude=/usr/share/doc/*' 'path-exclude=/usr/share/man/*' \
		'path-exclude=/usr/share/locale/*' >"$root/etc/dpkg/dpkg.cfg.d/90strakeplan"
	printf '#!/bin/sh\nexit 101\n' >"$root/usr/sbin/policy-rc.d"
	chmod +x "$root/usr/sbin/policy-rc.d"
	[ -s "$root/etc/resolv.conf" ] || cp -L /etc/resolv.conf "$root/etc/resolv.conf" || true
	mount -t proc proc "$root/proc" 2>/dev/null || say "without /proc"
	for order in update "install -y $packages" clean; do
		# shellcheck disable=SC2086
		chroot "$root" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/root LC_ALL=C.UTF-8 \
			DEBIAN_FRONTEND=noninteractive apt-get -q $order
	done
	rm -rf "$root/var/lib/apt/lists"
	umount "$root/proc" 2>/dev/null || true
	# the proof, not the package manager's word
	chroot "$root" /usr/bin/python3 -c "import sys; sys.path.append('/usr/lib/freecad-python3/lib')
import FreeCAD, Part, numpy, scipy, matplotlib, pytest"
}

# build NAME: one builder at a time; a root is renamed into place when it is whole
build() {
	mkdir -p "$roots"
	exec 9>"$roots/$1.lock"
	flock 9
	if ! ready "$1"; then
		command -v debootstrap >/dev/null || stop "debootstrap is not installed"
		log=$roots/$1.log
		# what a builder that was ended left behind is no root
		rm -rf --one-file-system "${roots:?}/$1" "$roots/$1".partial.*
		partial=$roots/$1.partial.$$
		status=0
		apart timeout -k 30 "$limit" sh "$0" build-in "$partial" "$1" >"$log" 2>&1 </dev/null 9>&- || status=$?
		if [ "$status" -ne 0 ]; then
			rm -rf --one-file-system "$partial"
			reason="not done after $limit s"
			[ "$status" -eq 124 ] || reason=$(grep -E '^(E: |W: Failure|[a-z._-]+\.sh: )' "$log" | tail -n 1)
			stop "could not be built: ${reason:-$(tail -n 1 "$log")} (all of it: $log)"
		fi
		printf '%s\n' "$recipe" >"$partial/strakeplan-root"
		mv "$partial" "$roots/$1"
	fi
	printf '%s\n' "$roots/$1"
}

# run NAME COMMAND...: STRAKEPLAN_REFERENCES is copied in beside the repository
run() {
	name=$1
	shift
	ready "$name" || stop "there is no root $name"
	inner=/tmp/strakeplan.$$
	copy=$roots/$name$inner
	trap 'rm -rf --one-file-system "$copy"' EXIT
	trap 'exit 130' INT
	trap 'exit 143' TERM
	mkdir -p "$copy/repository" "$copy/home" "$copy/references"
	tar -C "$top" --exclude=./.git --exclude=./examples/out --exclude=__pycache__ -cf - . |
		tar -C "$copy/repository" --no-same-owner -xf -
	if [ -d "${STRAKEPLAN_REFERENCES:-}" ]; then
		cp -R "$STRAKEPLAN_REFERENCES/." "$copy/references"
	fi
	set +e
	apart sh "$0" enter "$roots/$name" "$inner" "$@"
	status=$?
	set -e
	if [ -n "${STRAKEPLAN_GUI_PICTURES:-}" ] && [ -d "$copy/pictures" ]; then
		mkdir -p "$STRAKEPLAN_GUI_PICTURES"
		cp "$copy/pictures"/* "$STRAKEPLAN_GUI_PICTURES"
	fi
	exit "$status"
}

# enter ROOT INNER COMMAND...
enter() {
	root=$1
	inner=$2
	shift 2
	mounted=
	for pair in proc:proc sysfs:sys; do
		if mount -t "${pair%:*}" "${pair%:*}" "$root/${pair#*:}" 2>/dev/null; then
			mounted="$root/${pair#*:} $mounted"
		fi
	done
	if mount --rbind /dev "$root/dev" 2>/dev/null; then
		mounted="$root/dev $mounted"
	fi
	# shellcheck disable=SC2016
	set -- chroot "$root" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin LC_ALL=C.UTF-8 HOME="$inner/home" \
		PYTHONPATH="$inner/references" PYTHONDONTWRITEBYTECODE=1 CI="${CI:-}" \
		${STRAKEPLAN_GUI_PICTURES:+STRAKEPLAN_GUI_PICTURES="$inner/pictures"} \
		${OPENBLAS_CORETYPE:+OPENBLAS_CORETYPE="$OPENBLAS_CORETYPE"} \
		${OPENBLAS_L2_SIZE:+OPENBLAS_L2_SIZE="$OPENBLAS_L2_SIZE"} \
		sh -c 'cd "$1/repository" && shift && exec "$@"' sh "$inner" "$@"
	set +e
	"$@"
	status=$?
	set -e
	# only left to do where the mounts are not private
	for place in $mounted; do
		umount -l "$place" 2>/dev/null || true
	done
	exit "$status"
}

order=${1:-}
[ $# -eq 0 ] || shift
case $order in
build | run)
	case " $releases " in
	*" ${1:-?} "*) ;;
	*) stop "say one of $releases" ;;
	esac
	;;
esac
case $order in
list) say "$releases" ;;
build) build "$@" ;;
build-in) build_in "$@" ;;
run) run "$@" ;;
enter) enter "$@" ;;
*) stop "say list, build NAME or run NAME COMMAND" ;;
esac
