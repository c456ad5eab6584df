#!/usr/bin/env bash
# Prints the regions of one take, for a script in an editor to make markers from: start, onset and end in
# seconds and the note, separated by tabs, after a header. Rejected regions are omitted.
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
# By column name, since columns may be added.
"$takewright" segment "$@" | awk -F, -v OFS='\t' '
  NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; print "start_s", "onset_s", "end_s", "note"; next }
  $at["status"] == "kept" { print $at["start_s"], $at["onset_s"], $at["end_s"], $at["note"] }'
