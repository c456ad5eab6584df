# Asks a running service by plain HTTP; sourced by the scripts of this folder. They set `usage` first.

fail() {
  printf 'takewright: %s\n' "$*" >&2
  exit 2
}

http=127.0.0.1:7172
token_file=$HOME/.takewright/token-7171
words=()

read_options() { # the script's words: sets http, token_file and the others, words
  while [ $# -gt 0 ]; do
    case $1 in
      --http | --token-file)
        [ $# -gt 1 ] || fail "$usage"
        if [ "$1" = --http ]; then http=$2; else token_file=$2; fi
        shift
        ;;
      -*) fail "$usage" ;;
      *) words+=("$1") ;;
    esac
    shift
  done
}

json_text() { # as JSON writes it in quotes
  local text=${1//\\/\\\\}
  text=${text//\"/\\\"}
  text=${text//$'\t'/\\t}
  printf '%s' "${text//$'\n'/\\n}"
}

ask() { # METHOD REQUEST: sets `answers`, one line of JSON each; ends the script where the service refuses
  local token
  token=$(cat -- "$token_file" 2>/dev/null) ||
    fail "$token_file cannot be read; ./takewright serve writes it as it starts and names it"
  # The token goes in a file that only this user sees, not among the words of a command, which all can.
  answers=$(
    curl -sS --noproxy '*' --max-time 600 --config <(printf 'header = "Authorization: Bearer %s"\n' "$token") \
      --data "$2" "http://$http/v1/$1" 2>/dev/null
  )
  case $? in
    0) ;;
    28) fail "the service at $http did not answer in ten minutes" ;;
    *) fail "no service answers at $http; start one with ./takewright serve --http-port ${http##*:} --allow FOLDER" ;;
  esac
  # An error is the only answer or the last one.
  case ${answers##*$'\n'} in '{"error"'*) ;; *) return ;; esac
  printf '%s\n' "${answers##*$'\n'}" | awk '{
    message = $0
    if (match($0, /"message": *"([^"\\]|\\.)*"/)) {
      message = substr($0, RSTART, RLENGTH)
      sub(/^"message": *"/, "", message)
      sub(/"$/, "", message)
      gsub(/\\u003d/, "=", message) # protobuf writes some marks so
      gsub(/\\u0027/, "\047", message)
      gsub(/\\u0026/, "\\&", message)
      gsub(/\\"/, "\"", message)
    }
    print "takewright: " message
  }' >&2
  exit 2
}
