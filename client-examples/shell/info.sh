#!/usr/bin/env bash
# Prints facts about a running service, one per line after a header: its version, granted folders, limits and formats,
# named as in the contract.
#
#   info.sh [--http HOST:PORT] [--token-file FILE]
#
# Exit status: 0 done; 2 with one line on standard error that says what to do.
set -u -o pipefail

usage='usage: info.sh [--http HOST:PORT] [--token-file FILE]'
. "$(dirname "${BASH_SOURCE[0]}")/http.sh"

read_options "$@"
[ ${#words[@]} = 0 ] || fail "$usage"
ask GetServerInfo '{}'

# Words, numbers and marks one by one: a word before a colon names the values that follow.
printf '%s\n' "$answers" | awk -v OFS='\t' '
  function named(key) {
    while (match(key, /[A-Z]/)) {
      key = substr(key, 1, RSTART - 1) "_" tolower(substr(key, RSTART, 1)) substr(key, RSTART + 1)
    }
    return key
  }
  function plain(text) { # of JSON, without its quotes
    text = substr(text, 2, length(text) - 2)
    gsub(/\\u003d/, "=", text) # protobuf writes some marks so
    gsub(/\\u0027/, "\047", text)
    gsub(/\\u0026/, "\\&", text)
    gsub(/\\"/, "\"", text)
    gsub(/\\\\/, "\\", text)
    return text
  }
  { print "fact", "value" }
  {
    while (match($0, /"([^"\\]|\\.)*"|[0-9]+|:/)) {
      token = substr($0, RSTART, RLENGTH)
      $0 = substr($0, RSTART + RLENGTH)
      if (token ~ /^"/ && $0 ~ /^ *:/) key = named(plain(token))
      else if (token == "\"\"") continue # a text that was not asked for
      else if (token ~ /^"/) print key, plain(token)
      else if (token != ":") print key, token
    }
  }'
