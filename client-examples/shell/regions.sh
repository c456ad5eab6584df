#!/usr/bin/env bash
# The regions of one take as lines that an editor's script can make markers of: start, onset and end
# in seconds and the note, separated by tabs, after a header. What was rejected is left out.
#
#   regions.sh FILE [--server HOST:PORT] [--token-file FILE]
#
# Exit status: 0 done; 2 with one line on standard error that says what to do.
set -u -o pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd -P)
takewright=${TAKEWRIGHT:-$here/../../takewright}

if [ $# = 0 ]; then
  echo 'takewright: usage: regions.sh FILE [--server HOST:PORT] [--token-file FILE]' >&2
  exit 2
fi
# Columns by their names, since there may be more of them one day.
"$takewright" segment "$@" | awk -F, -v OFS='\t' '
  NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; print "start_s", "onset_s", "end_s", "note"; next }
  $at["status"] == "kept" { print $at["start_s"], $at["onset_s"], $at["end_s"], $at["note"] }'
