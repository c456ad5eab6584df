#!/usr/bin/env bash
# Generates the Python stubs of the service from proto/ into src/takewright/v1/.
# Takes grpcio-tools where the python3 in use has it, else protoc and its plugin.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd -P)
proto=$here/../../proto
python=${TAKEWRIGHT_PYTHON:-python3}
out=$here/src

# Debian 12's python3-grpc-tools holds a protoc of 2018, which does not read fields marked optional.
reads_optional() { # COMMAND...: whether it is protoc 3.15 or later
  local major minor
  IFS=' .' read -r _ major minor _ < <("$@" --version 2>/dev/null) || return 1
  [ "$major" -gt 3 ] || { [ "$major" = 3 ] && [ "$minor" -ge 15 ]; }
}

if reads_optional "$python" -m grpc_tools.protoc; then
  generate=("$python" -m grpc_tools.protoc)
elif reads_optional protoc && command -v grpc_python_plugin >/dev/null; then
  generate=(protoc "--plugin=protoc-gen-grpc_python=$(command -v grpc_python_plugin)")
else
  echo "generate.sh: nothing here makes stubs; install grpcio-tools (pip install grpcio-tools), or on Debian: apt install protobuf-compiler protobuf-compiler-grpc libprotobuf-dev" >&2
  exit 2
fi
# Types for editors and type checkers, where this protoc writes them.
types=()
case $("${generate[@]}" --help 2>&1) in *--pyi_out*) types=("--pyi_out=$out") ;; esac
(cd "$proto" && "${generate[@]}" -I . --python_out="$out" --grpc_python_out="$out" ${types[@]+"${types[@]}"} \
  takewright/v1/{audio,library,naming,operations,server,session}.proto)
touch "$out/takewright/v1/__init__.py"
