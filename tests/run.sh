#!/bin/sh
# SPDX-License-Identifier: LGPL-2.1-or-later
# Runs the tests.
#
#   sh tests/run.sh [PYTEST ARGUMENTS]                  in the FreeCAD installed here
#   sh tests/run.sh --hosts all [PYTEST ARGUMENTS]      there, and in roots with the other releases
#   sh tests/run.sh --hosts NAME,NAME [...]             in those: installed, bookworm, trixie, forky
#
# Installs what is missing (as root, or with sudo); needs no network when nothing is.
# Kept for the next run in STRAKEPLAN_CACHE: the roots and the packages that tests compare with.
set -eu
top=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$top/tests/debian.sh"

hosts=installed
if [ "${1:-}" = --hosts ]; then
	[ $# -ge 2 ] || stop "--hosts wants a name: all, installed, $(sh "$top/tests/hosts.sh" list)"
	hosts=$2
	shift 2
fi
here=$(. /etc/os-release && printf '%s' "${VERSION_CODENAME:-}")
case $hosts in
all)
	hosts=installed
	for name in $(sh "$top/tests/hosts.sh" list); do
		# the release installed is tested as it is
		[ "$name" = "$here" ] || hosts="$hosts $name"
	done
	;;
*) hosts=$(printf '%s' "$hosts" | tr ',' ' ') ;;
esac
for name in $hosts; do
	case " installed $(sh "$top/tests/hosts.sh" list) " in
	*" $name "*) ;;
	*) stop "there is no host $name: all, installed, $(sh "$top/tests/hosts.sh" list)" ;;
	esac
done

cache=${STRAKEPLAN_CACHE:-${XDG_CACHE_HOME:-$HOME/.cache}/strakeplan}
export STRAKEPLAN_ROOTS="$cache/roots"
export STRAKEPLAN_REFERENCES="$cache/references"
mkdir -p "$cache"
scratch=$(mktemp -d)
builders=
finish() {
	for pid in $builders; do
		kill "$pid" 2>/dev/null || true
	done
	rm -rf "$scratch"
}
trap finish EXIT
trap 'exit 130' INT
trap 'exit 143' TERM

needed=$(packages_to_test)
roots=
for name in $hosts; do
	[ "$name" = installed ] || roots="$roots $name"
done
if [ -n "$roots" ] && ! [ -x /usr/sbin/debootstrap ]; then
	needed="$needed debootstrap"
fi

# references: installed once, by the name in requirements.txt, into a folder beside the roots
references() {
	if [ "$(cat "$STRAKEPLAN_REFERENCES/requirements.txt" 2>/dev/null)" = "$(cat "$top/tests/requirements.txt")" ]; then
		return
	fi
	if lacks_module pip; then
		# shellcheck disable=SC2086
		install python3-pip
	fi
	partial=$cache/references.partial.$$
	rm -rf "$cache"/references.partial.* "$STRAKEPLAN_REFERENCES"
	if PIP_ROOT_USER_ACTION=ignore "$python" -m pip install -q --no-compile --target "$partial" \
		-r "$top/tests/requirements.txt"; then
		cp "$top/tests/requirements.txt" "$partial/requirements.txt"
		mv "$partial" "$STRAKEPLAN_REFERENCES"
	else
		say "The packages of tests/requirements.txt could not be installed; the tests that need them will fail."
	fi
}

# shellcheck disable=SC2086
install $needed
references

# all hosts test one state of the tree, also where somebody is at work on it meanwhile
tree=$top
if [ -n "$roots" ]; then
	tree=$scratch/repository
	mkdir "$tree"
	tar -C "$top" --exclude=./.git --exclude=./examples/out --exclude=__pycache__ -cf - . | tar -C "$tree" -xf -
fi

# roots are built while the tests run in the host installed
for name in $roots; do
	(
		if as_root env STRAKEPLAN_ROOTS="$STRAKEPLAN_ROOTS" sh "$top/tests/hosts.sh" build "$name" \
			>"$scratch/$name.built" 2>"$scratch/$name.reason" </dev/null; then
			: >"$scratch/$name.ready"
		fi
	) &
	builders="$builders $!"
done

[ $# -gt 0 ] || set -- tests
set -- "$python" -m pytest -c tests/pytest.ini "$@"
status=0
summary=
passed=0
failed=0
note() {
	summary="$summary$1
"
}

# counted WORD LINE: the number before the word, 0 without it
counted() {
	number=$(printf '%s\n' "$2" | grep -oE "[0-9]+ $1" | cut -d' ' -f1)
	printf '%s\n' "${number:-0}"
}

# tested NAME STATUS LOG: remember how it went, with pytest's own last line
tested() {
	last=$(grep -E '(passed|failed|error|no tests ran).* in [0-9.]+' "$3" | tail -n 1 | sed 's/^=* *//; s/ *=*$//')
	passed=$((passed + $(counted passed "$last")))
	failed=$((failed + $(counted failed "$last") + $(counted 'errors*' "$last")))
	if [ "$2" -eq 0 ]; then
		note "passed:  $1: $last"
	else
		note "FAILED:  $1: ${last:-pytest ended with status $2}"
		status=1
	fi
}

# shown FILE COMMAND...: its output on the screen and in FILE, its own status
shown() {
	file=$1
	shift
	{
		set +e
		"$@" 2>&1 </dev/null
		printf '%s' $? >"$file.status"
		set -e
	} | tee "$file"
	return "$(cat "$file.status")"
}

in_installed() {
	mkdir -p "$scratch/home"
	(
		cd "$top"
		# the user's own settings of the program are none of the tests' business
		unset XDG_CONFIG_HOME XDG_DATA_HOME XDG_CACHE_HOME
		export HOME="$scratch/home" PYTHONPATH="$STRAKEPLAN_REFERENCES" PYTHONDONTWRITEBYTECODE=1
		exec "$@"
	)
}

case " $hosts " in
*" installed "*)
	say "== installed ($here)"
	result=0
	shown "$scratch/installed.log" in_installed "$@" || result=$?
	tested "installed ($here)" "$result" "$scratch/installed.log"
	;;
esac
for pid in $builders; do
	wait "$pid" || true
done
builders=
for name in $roots; do
	if ! [ -e "$scratch/$name.ready" ]; then
		note "not run: $name: $(sed 's/^hosts.sh: //' "$scratch/$name.reason" | tail -n 1)"
		continue
	fi
	say "== $name"
	result=0
	shown "$scratch/$name.log" as_root env STRAKEPLAN_ROOTS="$STRAKEPLAN_ROOTS" \
		STRAKEPLAN_REFERENCES="$STRAKEPLAN_REFERENCES" CI="${CI:-}" \
		STRAKEPLAN_GUI_PICTURES="${STRAKEPLAN_GUI_PICTURES:-}" \
		sh "$tree/tests/hosts.sh" run "$name" "$@" || result=$?
	tested "$name" "$result" "$scratch/$name.log"
done
say "== summary"
printf '%s' "$summary"
say "total: $passed passed, $failed failed"
exit "$status"
