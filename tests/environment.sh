# Make the environment that both `tests/run` and `sample_shed_day/run` use. Sourced by them from bash.
# Sets TOP (the checkout) and VENV (its environment); changes into TOP.

TOP=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
VENV="$TOP/.venv"
cd "$TOP"

# What Qt's window parts load from the system (Debian's names), by the library each package brings.
QT_LIBRARIES="libglib-2.0.so.0:libglib2.0-0 libGL.so.1:libgl1 libEGL.so.1:libegl1
  libxkbcommon.so.0:libxkbcommon0 libfontconfig.so.1:libfontconfig1 libdbus-1.so.3:libdbus-1-3
  libxkbcommon-x11.so.0:libxkbcommon-x11-0 libxcb-cursor.so.0:libxcb-cursor0
  libxcb-icccm.so.4:libxcb-icccm4 libxcb-keysyms.so.1:libxcb-keysyms1 libxcb-shape.so.0:libxcb-shape0"

may_install() { [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; }

install_packages() {
  echo "Installing from the system's packages: $*"
  apt-get -qq update >/dev/null && DEBIAN_FRONTEND=noninteractive \
    apt-get -qq install -y --no-install-recommends "$@" >/dev/null
}

need_python() {
  PYTHON=""
  for name in python3.13 python3.12 python3.11 python3; do
    if command -v "$name" >/dev/null && "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
      PYTHON=$name
      break
    fi
  done
  if [ -z "$PYTHON" ] && may_install; then
    install_packages python3 python3-venv && PYTHON=python3
  fi
  [ -n "$PYTHON" ] || { echo "Python 3.11 or newer is missing. Install it and run this again."; exit 1; }
  if ! "$PYTHON" -c 'import ensurepip' 2>/dev/null; then
    may_install && install_packages python3-venv ||
      { echo "Python's venv is missing. Install the package python3-venv and run this again."; exit 1; }
  fi
}

need_qt_libraries() {
  [ "$(uname -s)" = Linux ] || return 0
  local missing="" pair
  for pair in $QT_LIBRARIES; do
    "$PYTHON" -c "import ctypes; ctypes.CDLL('${pair%%:*}')" 2>/dev/null || missing="$missing ${pair##*:}"
  done
  [ -z "$missing" ] && return 0
  if may_install; then
    # shellcheck disable=SC2086  # a list of packages
    install_packages $missing && return 0
  fi
  echo "Qt needs these packages of the system, which are missing:$missing"
  exit 1
}

# What an environment was made from: when that changes, it is made again.
made_from() { { cat pyproject.toml tests/constraints.txt "$VENV/pyvenv.cfg" 2>/dev/null || true; } | cksum; }

make_environment() {
  need_python
  need_qt_libraries
  local stamp="$VENV/made-from"
  if [ ! -f "$stamp" ] || [ "$(cat "$stamp")" != "$(made_from)" ]; then
    echo "Making the environment in .venv (a few minutes the first time)."
    [ -x "$VENV/bin/python" ] || "$PYTHON" -m venv "$VENV"
    "$VENV/bin/python" -m pip install -q --disable-pip-version-check -c tests/constraints.txt -e '.[dev]'
    made_from >"$stamp"
  fi
  export PATH="$VENV/bin:$PATH"
  # Qt wants a private run-time folder; a bare machine has none.
  if [ -z "${XDG_RUNTIME_DIR:-}" ]; then
    XDG_RUNTIME_DIR=$(mktemp -d)
    export XDG_RUNTIME_DIR
    chmod 700 "$XDG_RUNTIME_DIR"
  fi
}
