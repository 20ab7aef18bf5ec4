# Sets .venv up from the locked requirements. Sourced by try and test, which say what for: set_up run, or set_up check.
# A stamp in .venv says what is in it, so that a later start has nothing to do. "check" holds all of "run".

set -euo pipefail

root="$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)"
locks="$root/deploy/requirements"
venv="$root/.venv"
stamp="$venv/set-up"

say() {
  printf '%s\n' "$*" >&2
}

# The version and place of what is wanted; the place counts because commands in .venv/bin carry it.
wanted() {
  { printf '%s\n' "$root"; cat "$root/pyproject.toml" "$locks"/*.txt; } | cksum
}

find_python() {
  local name
  for name in ${PYTHON:-} python3.13 python3.12 python3.11 python3 python; do
    if "$name" -c 'import ensurepip, sys, venv; sys.exit(sys.version_info < (3, 11))' > /dev/null 2>&1; then
      printf '%s\n' "$name"
      return
    fi
  done
  say "Ovipost needs Python 3.11 or newer with its venv module, and found none."
  say "On Debian and Ubuntu: apt install python3 python3-venv. Elsewhere: https://www.python.org/downloads/"
  say "If it is installed under another name: PYTHON=/path/to/python3 $0"
  return 1
}

make_venv() {
  if "$venv/bin/python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' > /dev/null 2>&1; then
    return
  fi
  local python
  python="$(find_python)"
  "$python" -m venv --clear "$venv"
}

install_with_uv() {
  "$venv/bin/python" -m pip install --quiet --disable-pip-version-check --require-hashes -r "$locks/installer.txt" &&
    "$venv/bin/uv" pip sync --quiet --python "$venv/bin/python" --require-hashes "$locks/installer.txt" "$locks/$1.txt" &&
    "$venv/bin/uv" pip install --quiet --python "$venv/bin/python" --no-deps --no-build-isolation --editable "$root"
}

install_with_pip() {
  "$venv/bin/python" -m pip install --quiet --disable-pip-version-check --require-hashes -r "$locks/$1.txt" &&
    "$venv/bin/python" -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable "$root"
}

set_up() {
  local kind="$1" version
  version="$(wanted)"
  if [[ -f "$stamp" && "$(< "$stamp")" == check* ]]; then
    kind=check  # who runs the checks here keeps what they need
  fi
  if [[ -x "$venv/bin/python" && -f "$stamp" ]]; then
    case "$(< "$stamp")" in
      "$kind $version" | "check $version") return ;;
    esac
  fi
  say "Setting up .venv; this takes up to a minute, and only now."
  rm -f "$stamp"
  make_venv
  "$venv/bin/python" -m pip --version > /dev/null 2>&1 || "$venv/bin/python" -m ensurepip > /dev/null
  if ! install_with_uv "$kind"; then
    say "That did not work with uv; trying pip, which takes longer."
    install_with_pip "$kind"
  fi
  printf '%s\n' "$kind $version" > "$stamp"
}
