#!/usr/bin/env bash
# Prints the regions of one take, for a script in an editor to make markers from: start, onset and end in
# seconds and the note, separated by tabs, after a header. Rejected regions are omitted. Asks a running service by
# plain HTTP, so that nothing but curl has to start.
#
#   regions.sh FILE [--http HOST:PORT] [--token-file FILE]
#
# Exit status: 0 done; 2 with one line on standard error that says what to do.
set -u -o pipefail

usage='usage: regions.sh FILE [--http HOST:PORT] [--token-file FILE]'
. "$(dirname "${BASH_SOURCE[0]}")/http.sh"

read_options "$@"
[ ${#words[@]} = 1 ] || fail "$usage"
# The service has another working directory, so it needs the absolute path.
path=$(realpath -e -- "${words[0]}" 2>/dev/null) || fail "${words[0]} does not exist"
ask Segment "{\"config\": {\"input\": {\"file\": \"$(json_text "$path")\"}}}"

# First the take's sample rate, then its regions.
printf '%s\n' "$answers" | awk -v OFS='\t' '
  function number(key) {
    return match($0, "\"" key "\": *\"?[0-9]+") ? substr($0, RSTART, RLENGTH) : ""
  }
  function digits(text) { sub(/^.*[^0-9]/, "", text); return text }
  function text_of(key) {
    if (!match($0, "\"" key "\": *\"[^\"]*\"")) return ""
    value = substr($0, RSTART, RLENGTH)
    sub(/"$/, "", value)
    sub(/^.*"/, "", value)
    return value
  }
  /"sampleRateHz"/ && !rate {
    rate = digits(number("sampleRateHz"))
    print "start_s", "onset_s", "end_s", "note"
  }
  /"region"/ && /"REGION_STATUS_KEPT"/ {
    for (i = split("startFrame onsetFrame endFrame", keys, " "); i > 0; i--) {
      seconds[i] = sprintf("%.6f", digits(number(keys[i])) / rate)
    }
    print seconds[1], seconds[2], seconds[3], text_of("note")
  }'
