#!/usr/bin/env bash
# Makes the Python stubs of the service from proto/ into generated/.
# Only what the example calls: library.proto needs protobuf's own files beside it as well.
# Takes grpcio-tools where the python3 in use has it, else protoc and its plugin.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd -P)
proto=$here/../../proto
python=${TAKEWRIGHT_PYTHON:-python3}
out=$here/generated

if "$python" -c 'import grpc_tools' 2>/dev/null; then
  generate=("$python" -m grpc_tools.protoc)
elif command -v protoc >/dev/null && command -v grpc_python_plugin >/dev/null; then
  generate=(protoc "--plugin=protoc-gen-grpc_python=$(command -v grpc_python_plugin)")
else
  echo "generate.sh: nothing here makes stubs; install grpcio-tools (pip install grpcio-tools), or on Debian: apt install protobuf-compiler protobuf-compiler-grpc" >&2
  exit 2
fi
mkdir -p "$out"
(cd "$proto" && "${generate[@]}" -I . --python_out="$out" --grpc_python_out="$out" takewright/v1/{audio,operations,session}.proto)
