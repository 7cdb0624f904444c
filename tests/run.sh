#!/usr/bin/env bash
# Sets up and runs the tests: the Rust core, then the wheel in a virtual environment of its own, its Python tests, the
# examples in docstrings and Markdown, and the notebooks. Needs cargo, a C compiler and CPython 3.11 or later.
#
#   DIBBLE_PYTHON     the Python to use (default: python3)
#   DIBBLE_TEST_VENV  where the environment goes (default: target/venv-tests)
set -euo pipefail
cd "$(dirname "$0")/.."
exec </dev/null

python=${DIBBLE_PYTHON:-python3}
venv=${DIBBLE_TEST_VENV:-target/venv-tests}
export CARGO_TARGET_DIR=${CARGO_TARGET_DIR:-$PWD/target}
export PIP_DISABLE_PIP_VERSION_CHECK=1 MPLBACKEND=Agg

"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "CPython 3.11 or later is needed; set DIBBLE_PYTHON to one" >&2; exit 1; }

echo "== Rust core"
cargo test --locked

echo "== wheel in its own environment"
[ -x "$venv/bin/python" ] || "$python" -m venv "$venv"
rm -rf target/wheels
"$venv/bin/python" -m pip wheel --quiet --no-deps --wheel-dir target/wheels .
wheel=$(echo target/wheels/dibble-*.whl)
"$venv/bin/python" -m pip install --quiet --force-reinstall --no-deps "$wheel"
"$venv/bin/python" -m pip install --quiet "$wheel[test]"

# The environment's own programs (the notebook kernel, for one) come first.
venv_bin=$(cd "$venv/bin" && pwd)
export PATH=$venv_bin:$PATH

echo "== Python tests, docstring and Markdown examples, notebooks"
shopt -s nullglob
"$venv/bin/python" -m pytest --durations=10 --nbmake tests/python notebooks/*.ipynb
