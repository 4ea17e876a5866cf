#!/bin/sh
# Sets up what is missing (system libraries on Debian, a virtual environment, the packages), then
# opens the window or runs every check.
#   sh resources/setup.sh window [ARGUMENTS OF bayledger]
#   sh resources/setup.sh checks [ARGUMENTS OF pytest]
set -eu
cd "$(dirname "$0")/.."

# What Qt loads at run time: the first line offscreen too, the others for a window under X.
libraries="libgl1 libegl1 libglib2.0-0 libfontconfig1 libxkbcommon0 libdbus-1-3
libxkbcommon-x11-0 libxcb-cursor0 libxcb-icccm4 libxcb-image0 libxcb-keysyms1
libxcb-render-util0 libxcb-shape0 libxcb-xkb1"

as_root() {
  if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi
}

install_debian() {
  command -v dpkg-query >/dev/null 2>&1 || return 0
  missing=""
  for package in "$@"; do
    # A library may stand under a newer name that provides the old one (libglib2.0-0t64).
    dpkg-query -W -f='${Status} ${Package} ${Provides}\n' "$package" "${package}t64" 2>/dev/null |
      grep -q "^install ok installed" || missing="$missing $package"
  done
  [ -n "$missing" ] || return 0
  echo "Installing system packages:$missing"
  as_root apt-get update -q >/dev/null
  # shellcheck disable=SC2086  # one word a package
  as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $missing >/dev/null
}

# shellcheck disable=SC2086
install_debian python3 python3-venv $libraries

[ -x .venv/bin/python ] || python3 -m venv .venv
wanted=$(cat pyproject.toml constraints.txt | cksum)
if [ "$(cat .venv/bayledger-setup 2>/dev/null || true)" != "$wanted" ]; then
  echo "Installing Python packages into .venv"
  .venv/bin/python -m pip install -q --disable-pip-version-check --root-user-action=ignore \
    --use-pep517 -c constraints.txt -e '.[checks]'
  echo "$wanted" >.venv/bayledger-setup
fi

what=${1:-window}
[ $# -eq 0 ] || shift
case $what in
  window)
    exec .venv/bin/bayledger "$@"
    ;;
  checks)
    export QT_QPA_PLATFORM=offscreen
    .venv/bin/ruff check .
    .venv/bin/ruff format --check .
    .venv/bin/mypy
    .venv/bin/lint-imports
    .venv/bin/vulture
    exec .venv/bin/python -m pytest -n auto "$@"
    ;;
  *)
    echo "setup.sh: say window or checks" >&2
    exit 2
    ;;
esac
