# shellcheck shell=bash
# Sourced by ./start, ./check and the other scripts: makes .venv hold exactly what a lock file says.
#
# prepare_environment run    what is needed to use the program   (requirements.lock)
# prepare_environment dev    that and what is needed to test it  (requirements-dev.lock)
#
# It wants a Python of 3.11 or later and nothing else. uv does the work where it is on the PATH or can be
# brought into .venv-tools; plain pip does it where uv cannot be had. Nothing outside this folder is changed,
# but for Debian's own python3-venv where Python came without any means to install and we are root.
# Written for bash 3.2, so that it runs on macOS too.

unset PYTHONHOME PYTHONPATH VIRTUAL_ENV
# A machine trusts the certificates that it is set up to trust, in uv as in everything else.
export UV_PYTHON_DOWNLOADS=never UV_SYSTEM_CERTS=1 PIP_DISABLE_PIP_VERSION_CHECK=1

ROOT=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
VENV="$ROOT/.venv"
TOOLS="$ROOT/.venv-tools"
RECORD="$VENV/runningfit" # what lies in .venv: its own kind, and a copy of each lock that was installed

say() { printf '%s\n' "$*" >&2; }
die() {
  printf '%s\n' "$@" >&2
  exit 1
}

# Prints the newest Python of 3.11 or later that really runs (a name on the PATH may be a stub that does not).
find_python() {
  local name
  for name in python3.13 python3.12 python3.11 python3 python; do
    if "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
      command -v "$name"
      return 0
    fi
  done
  say "Running Fit needs Python 3.11 or later; none was found on the PATH."
  say "Debian, Ubuntu: apt-get install python3 python3-venv    macOS, Windows: the installer of the Python project"
  return 1
}

# make_venv PYTHON FOLDER: a virtual environment with pip in it, however this Python was packaged.
make_venv() {
  "$1" -m venv --clear "$2" >/dev/null 2>&1 && return 0
  # Debian takes ensurepip out of Python; an outer pip can still fill an environment that has none.
  if "$1" -m venv --clear --without-pip "$2" >/dev/null 2>&1 &&
    "$1" -m pip --version >/dev/null 2>&1 &&
    "$1" -m pip --python "$2/bin/python" install --quiet pip >&2; then
    return 0
  fi
  rm -rf "$2"
  return 1
}

# Brings pip's means to install where there are none at all; only as root, and only Debian's own package.
bring_venv_module() {
  local version
  version=$("$1" -c 'import sys; print("python%d.%d" % sys.version_info[:2])')
  if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
    say "This Python can neither make an environment nor install: installing Debian's $version-venv."
    { apt-get -qq update && DEBIAN_FRONTEND=noninteractive apt-get -qq install -y --no-install-recommends \
      "$version-venv"; } </dev/null >/dev/null && return 0
  fi
  say "$1 can neither make an environment nor install into one, and uv is not on the PATH. One of these helps:"
  say "  Debian, Ubuntu: apt-get install $version-venv    elsewhere: install uv, or a Python that has pip"
  return 1
}

# find_uv PYTHON: prints a uv that runs, bringing one into .venv-tools; fails quietly where none can be had.
find_uv() {
  if uv --version >/dev/null 2>&1; then
    command -v uv
    return 0
  fi
  if ! "$TOOLS/bin/uv" --version >/dev/null 2>&1; then
    say "Bringing uv into .venv-tools …"
    make_venv "$1" "$TOOLS" || { bring_venv_module "$1" && make_venv "$1" "$TOOLS"; } || return 1
    "$TOOLS/bin/python" -m pip install --quiet --require-hashes -r "$ROOT/requirements-tools.lock" >&2 || return 1
    "$TOOLS/bin/uv" --version >/dev/null 2>&1 || return 1
  fi
  printf '%s\n' "$TOOLS/bin/uv"
}

# holds LOCK: whether .venv, made for this very folder, already holds this lock as it is now.
holds() {
  cmp -s "$ROOT/$1" "$RECORD/$1" && [ "$(cat "$RECORD/root" 2>/dev/null)" = "$ROOT" ] &&
    "$VENV/bin/python" -c 'import runningfit' >/dev/null 2>&1
}

# The project is used in place: a .pth file names src, and a small command runs it. No build, nothing fetched.
link_project() {
  local site
  site=$("$VENV/bin/python" -c 'import sysconfig; print(sysconfig.get_path("purelib"))') || return 1
  printf '%s\n' "$ROOT/src" >"$site/runningfit-in-place.pth"
  cat >"$VENV/bin/runningfit" <<'COMMAND'
#!/bin/sh
exec "$(dirname "$0")/python" -m runningfit "$@"
COMMAND
  chmod +x "$VENV/bin/runningfit"
}

# usable_venv: whether .venv runs, and its commands still name this folder (a copied or moved tree's do not).
usable_venv() {
  [ "$(cat "$RECORD/root" 2>/dev/null || echo "$ROOT")" = "$ROOT" ] &&
    "$VENV/bin/python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1
}

fill_with_uv() {
  local uv
  uv=$(find_uv "$1") || return 1
  usable_venv || "$uv" venv --quiet --clear --python "$1" "$VENV" >&2 || return 1
  "$uv" pip sync --quiet --python "$VENV/bin/python" --require-hashes "$ROOT/$2" >&2
}

# Also worth a try where uv was found: an index may be set up for pip alone.
fill_with_pip() {
  say "uv could not do it; trying pip, which takes longer."
  make_venv "$1" "$VENV" || return 1
  "$VENV/bin/python" -m pip install --quiet --require-hashes -r "$ROOT/$2" >&2
}

prepare_environment() {
  local lock=requirements.lock python
  # Whoever has the tools for testing keeps them, whichever command notices that a lock has changed.
  if [ "$1" = dev ] || [ -e "$RECORD/requirements-dev.lock" ]; then lock=requirements-dev.lock; fi
  if holds "$lock"; then return 0; fi
  python=$(find_python) || exit 1
  say "Setting up .venv from $lock (once; needs the network) …"
  if [ -d "$RECORD" ]; then rm -f "$RECORD"/*.lock; fi
  fill_with_uv "$python" "$lock" || fill_with_pip "$python" "$lock" ||
    die "The environment could not be made; the lines above say why. Running the same command again goes on from here."
  link_project || die "The project could not be linked into .venv."
  mkdir -p "$RECORD"
  printf '%s\n' "$ROOT" >"$RECORD/root"
  cp "$ROOT/$lock" "$RECORD/$lock"
}
