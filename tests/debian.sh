# SPDX-License-Identifier: LGPL-2.1-or-later
# For scripts to read with `.`: what this machine lacks, and how Debian supplies it.
# POSIX sh. Expects `top`, the repository's folder.

python=/usr/bin/python3

say() {
	printf '%s\n' "$*"
}

stop() {
	printf '%s: %s\n' "${0##*/}" "$*" >&2
	exit 2
}

# as_root COMMAND...: run it with the rights to install
as_root() {
	if [ "$(id -u)" -eq 0 ]; then
		"$@"
	elif command -v sudo >/dev/null 2>&1; then
		sudo "$@"
	else
		stop "needs root for: $*. Run it as root, or install sudo."
	fi
}

# lacks_module NAME: true where the system's Python cannot find the module
lacks_module() {
	! "$python" -c "import importlib.util as u, sys; sys.exit(u.find_spec('$1') is None)" 2>/dev/null
}

lacks_host() {
	! (cd "$top" && PYTHONDONTWRITEBYTECODE=1 "$python" -m strakeplan.host.locate) >/dev/null 2>&1
}

lacks_program() {
	! command -v "$1" >/dev/null 2>&1
}

# packages_to_plan: names of the packages that planning needs and this machine lacks
packages_to_plan() {
	if ! [ -x "$python" ]; then
		# nothing can be asked of a Python that is not there
		say python3 python3-numpy python3-scipy python3-matplotlib freecad-python3
		return
	fi
	if lacks_module numpy; then say python3-numpy; fi
	if lacks_module scipy; then say python3-scipy; fi
	if lacks_module matplotlib; then say python3-matplotlib; fi
	if lacks_host; then say freecad-python3; fi
}

# packages_to_test: the same for the tests in the host installed
packages_to_test() {
	packages_to_plan
	if ! [ -x "$python" ] || lacks_module pytest; then say python3-pytest; fi
	if lacks_program freecad; then say freecad; fi
	if lacks_program xvfb-run; then say xvfb; fi
	if lacks_program xauth; then say xauth; fi
}

# install PACKAGE...: nothing to do without names, and then no network is needed either
install() {
	[ $# -gt 0 ] || return 0
	say "Installing: $*"
	# a list that cannot be refreshed may still be good enough for what is missing
	as_root apt-get -q update || say "apt-get update failed; trying with the lists at hand."
	as_root env DEBIAN_FRONTEND=noninteractive apt-get -q install -y --no-install-recommends "$@" ||
		stop "these packages are missing and could not be installed: $*"
}
