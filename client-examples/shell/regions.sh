#!/usr/bin/env bash
# Prints the regions of one take, for a script in an editor to make markers from: start, onset and end in
# seconds and the note, separated by tabs, after a header. Rejected regions are omitted. Asks a running service by
# plain HTTP, so that nothing but curl has to start.
#
#   regions.sh FILE [--http HOST:PORT] [--token-file FILE]
#
# Exit status: 0 done; 2 with one line on standard error that says what to do.
set -u -o pipefail

fail() {
  printf 'takewright: %s\n' "$*" >&2
  exit 2
}
usage='usage: regions.sh FILE [--http HOST:PORT] [--token-file FILE]'

http=127.0.0.1:7172
token_file=$HOME/.takewright/token-7171
file=
while [ $# -gt 0 ]; do
  case $1 in
    --http | --token-file)
      [ $# -gt 1 ] || fail "$usage"
      if [ "$1" = --http ]; then http=$2; else token_file=$2; fi
      shift
      ;;
    *)
      [ -z "$file" ] || fail "$usage"
      file=$1
      ;;
  esac
  shift
done
[ -n "$file" ] || fail "$usage"
# The service has another working directory, so it needs the absolute path.
path=$(realpath -e -- "$file" 2>/dev/null) || fail "$file does not exist"
token=$(cat -- "$token_file" 2>/dev/null) ||
  fail "$token_file cannot be read; ./takewright serve writes it as it starts and names it"

json_text() { # as JSON writes it in quotes
  local text=${1//\\/\\\\}
  text=${text//\"/\\\"}
  text=${text//$'\t'/\\t}
  printf '%s' "${text//$'\n'/\\n}"
}

# The token goes in a file that only this user sees, not among the words of a command, which all can.
answers=$(
  curl -sS --noproxy '*' --max-time 600 --config <(printf 'header = "Authorization: Bearer %s"\n' "$token") \
    --data "{\"config\": {\"input\": {\"file\": \"$(json_text "$path")\"}}}" "http://$http/v1/Segment" 2>/dev/null
)
case $? in
  0) ;;
  28) fail "the service at $http did not answer in ten minutes" ;;
  *) fail "no service answers at $http; start one with ./takewright serve --http-port ${http##*:} --allow FOLDER" ;;
esac
# One answer a line: first the take's sample rate, then its regions.
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
  /"error"/ {
    if (match($0, /"message": *"([^"\\]|\\.)*"/)) {
      message = substr($0, RSTART, RLENGTH)
      sub(/^"message": *"/, "", message)
      sub(/"$/, "", message)
      gsub(/\\u003d/, "=", message) # protobuf writes some marks so
      gsub(/\\u0027/, "\047", message)
      gsub(/\\u0026/, "\\&", message)
      gsub(/\\"/, "\"", message)
    } else message = $0
    print "takewright: " message > "/dev/stderr"
    failed = 1
    exit
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
  }
  END { exit failed ? 2 : 0 }'
