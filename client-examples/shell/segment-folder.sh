#!/usr/bin/env bash
# Cuts every take of a folder with a running Takewright service: NAME.wav gives NAME.regions.tsv.
#
#   segment-folder.sh FOLDER OUT [--http HOST:PORT] [--token-file FILE] [--jobs N]
#
# Skips finished takes, so it can be stopped and started again. Exit status: 0 all takes are done; 1 some
# failed, each named on standard error; 2 wrong usage, or a folder without takes.
set -u

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd -P)

usage() {
  printf 'takewright: usage: segment-folder.sh FOLDER OUT [--http HOST:PORT] [--token-file FILE] [--jobs N]\n' >&2
  exit 2
}

service=()
jobs=2
folders=()
while [ $# -gt 0 ]; do
  case $1 in
    --http | --token-file | --jobs)
      [ $# -gt 1 ] || usage
      if [ "$1" = --jobs ]; then jobs=$2; else service+=("$1" "$2"); fi
      shift
      ;;
    -*) usage ;;
    *) folders+=("$1") ;;
  esac
  shift
done
[ ${#folders[@]} = 2 ] && [ -d "${folders[0]}" ] && [[ $jobs =~ ^[1-9][0-9]?$ ]] || usage
mkdir -p "${folders[1]}" || exit 2
out=$(cd "${folders[1]}" && pwd -P)

# One take. The result gets its name only when it is complete.
one() {
  local take=$1 id=$BASHPID name result
  name=$(basename "$take")
  result=$out/${name%.*}.regions.tsv
  [ ! -e "$result" ] || return 0
  if "$here/regions.sh" "$take" ${service[@]+"${service[@]}"} >"$result.part.$id" 2>"$result.error.$id"; then
    mv "$result.part.$id" "$result"
    rm -f "$result.error.$id"
    printf '%s\n' "$result"
  else
    printf '%s: %s\n' "$name" "$(cat "$result.error.$id")" >&2
    rm -f "$result.part.$id" "$result.error.$id"
    return 1
  fi
}

status=0
running=0
shopt -s nullglob nocaseglob
takes=("${folders[0]}"/*.wav "${folders[0]}"/*.aif "${folders[0]}"/*.aiff "${folders[0]}"/*.flac)
[ ${#takes[@]} -gt 0 ] || {
  printf 'takewright: %s holds no takes; they end in .wav, .aif, .aiff or .flac\n' "${folders[0]}" >&2
  exit 2
}
declare -A table_of
for take in "${takes[@]}"; do
  name=$(basename "$take")
  table=${name%.*}
  if [ -n "${table_of[$table]:-}" ]; then
    printf '%s: would have the same table as %s; rename one\n' "$name" "${table_of[$table]}" >&2
    status=1
    continue
  fi
  table_of[$table]=$name
  one "$take" &
  running=$((running + 1))
  if [ $running -ge "$jobs" ]; then
    wait -n || status=1
    running=$((running - 1))
  fi
done
while [ $running -gt 0 ]; do
  wait -n || status=1
  running=$((running - 1))
done
exit $status
