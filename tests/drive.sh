# What journeys through the window share: starting the program, finding controls by name in its journal, clicking, waiting.
# Sourced by them with `program` and `pictures` set; needs xdotool and ImageMagick.

work=$(mktemp -d)
pictures=${pictures:-$work/pictures}
mkdir -p "$pictures" "$work/sets" "$work/data"
pictures=$(realpath "$pictures")
journal=$work/journal
pid=

cleanup() {
    if [ -n "$pid" ] && kill -0 "$pid" 2>/dev/null; then kill -9 "$pid"; fi
    rm -rf "$work"
}
trap cleanup EXIT

fail() {
    echo "journey: $*" >&2
    import -window root "$pictures/failed.png"
    echo "--- journal" >&2
    grep -v -E '^[0-9]+ (control|gone|frame) ' "$journal" | tail -n 30 >&2
    cat "$work/stderr" >&2
    exit 1
}

step() { echo "journey: $*"; }

# Starts the program on a fresh journal, with dialogs inside the window and a data folder of its own.
start() {
    : > "$journal"
    (cd "$work/sets" && XDG_DATA_HOME=$work/data WASHBOARD_JOURNAL=$journal WASHBOARD_DIALOGS=inside \
        exec "$program" "$@" 2>> "$work/stderr") &
    pid=$!
    for _ in $(seq 100); do
        window=$(xdotool search --onlyvisible --pid "$pid" 2>/dev/null | tail -n 1)
        [ -n "$window" ] && break
        kill -0 "$pid" 2>/dev/null || fail "the program ended at once"
        sleep 0.1
    done
    [ -n "$window" ] || fail "no window"
    xdotool windowmove "$window" 0 0
    # shellcheck disable=SC2046
    xdotool windowsize "$window" $(xdotool getdisplaygeometry)
    xdotool windowfocus --sync "$window"
}

# Waits up to $1 seconds for a line matching $2 after line $3 of the journal, and prints it.
await() {
    local seconds=$1 pattern=$2 after=${3:-0}
    for _ in $(seq $((seconds * 10))); do
        tail -n +$((after + 1)) "$journal" | grep -m 1 -E "$pattern" && return 0
        kill -0 "$pid" 2>/dev/null || return 1
        sleep 0.1
    done
    return 1
}

# Clicks and keys so far, beyond texts that are typed: every one of them counts, a combination of keys is one.
moves=0
xdotool() {
    case $1 in
        click) moves=$((moves + 1)) ;;
        key)
            # Options are no keys.
            [ "${2:-}" = --delay ] && moves=$((moves + $# - 3)) || moves=$((moves + $# - 1))
            ;;
    esac
    command xdotool "$@"
}

lines() { wc -l < "$journal"; }

# Middle of the first control of that exact name, as "x y"; waits a little for it.
middle() {
    local name=$1 found
    for _ in $(seq 50); do
        found=$(awk -v name="$name" '
            $2 == "gone" { delete at[$3] }
            $2 == "control" {
                text = $0
                sub(/^[0-9]+ control [0-9]+ -?[0-9]+ -?[0-9]+ -?[0-9]+ -?[0-9]+ /, "", text)
                if (text == name) at[$3] = int(($4 + $6) / 2) " " int(($5 + $7) / 2); else delete at[$3]
            }
            END { for (id in at) print at[id] }' "$journal" | sort -k2,2n -k1,1n | head -n 1)
        [ -n "$found" ] && { echo "$found"; return 0; }
        sleep 0.1
    done
    return 1
}

# Names of all controls on screen.
names() {
    awk '
        $2 == "gone" { delete name[$3] }
        $2 == "control" {
            text = $0
            sub(/^[0-9]+ control [0-9]+ -?[0-9]+ -?[0-9]+ -?[0-9]+ -?[0-9]+ /, "", text)
            name[$3] = text
        }
        END { for (id in name) print name[id] }' "$journal"
}

click() {
    local at
    at=$(middle "$1") || fail "there is no control called \"$1\" on screen"
    # shellcheck disable=SC2086
    xdotool mousemove $at
    sleep 0.4
    xdotool click 1
    sleep 0.4
}

picture() { import -window root "$pictures/$1.png"; }

# How many pixels of a region differ between two pictures.
moved() {
    convert "$pictures/$1.png" -crop "$3" +repage "$work/a.png"
    convert "$pictures/$2.png" -crop "$3" +repage "$work/b.png"
    compare -metric AE -fuzz 8% "$work/a.png" "$work/b.png" null: 2>&1 | awk '{ print int($1) }'
}

# Comfort figures of the last board that belongs to the newest state.
comfort() { sed -n 's/.* board revision [0-9]* fresh .* comfort //p' "$journal" | tail -n 1; }

# Waits for the checks, and gives a sentence to each that does not pass but may be waived.
ready() {
    local mark=$1 field fields
    await 240 ' checks complete' "$mark" > /dev/null || fail "the checks were not completed"
    sleep 0.6
    mapfile -t fields < <(names | grep '^Waiver of ' | sort -u)
    for field in "${fields[@]}"; do
        click "$field"
        xdotool type --delay 20 "looked at with the driver, wanted so"
        sleep 0.4
    done
    await 60 ' checks complete, [0-9]* open, 0 in the way' "$mark" > /dev/null || fail "the checks hold the set back"
    sleep 0.4
}

# Goes to Hand over, acknowledges the caution, hands the set over and proves it; sets `identity` and `folder`.
hand_over() {
    local mark line
    mark=$(lines)
    click "Hand over"
    sleep 0.5
    if [ "${chosen_folder:-}" = "" ]; then
        click "Choose the folder"
        await 10 'dialog Folder for the set' "$mark" > /dev/null || fail "no dialog for the folder"
        sleep 0.5
        click "Choose this folder"
        await 10 'dialog chose ' "$mark" > /dev/null || fail "no folder was chosen"
        chosen_folder=yes
    fi
    # Once for the session.
    if names | grep -q "^I have read this"; then click "I have read this and take it into account."; fi
    ready "$mark"
    click "Hand over to the car"
    line=$(await 60 ' handed over ' "$mark") || fail "nothing was handed over"
    read -r _ _ _ identity folder <<< "$line"
    "$program" verify "$folder" > "$work/verdict" || fail "the set does not verify: $(cat "$work/verdict")"
    grep -q "$identity" "$work/verdict" || fail "verify names another identity than the window"
}

# Begins to count a stop between two runs.
begin_stop() { stop_moves=$moves stop_began=$(date +%s%N); }

# Ends it: prints what it took, and fails where that is more than $1 clicks and keys or $2 seconds, waiting included.
end_stop() {
    local took=$((moves - stop_moves)) tenths=$((($(date +%s%N) - stop_began) / 100000000))
    step "the stop took $took clicks and keys beyond what is typed, and $((tenths / 10)).$((tenths % 10)) s with all waiting"
    [ "$took" -le "$1" ] || fail "a stop must take at most $1 clicks and keys"
    [ "$tenths" -le $(($2 * 10)) ] || fail "a stop must take less than $2 s"
}

# Waits until the program has ended well.
ended() {
    local status
    for _ in $(seq 100); do
        kill -0 "$pid" 2>/dev/null || break
        sleep 0.1
    done
    kill -0 "$pid" 2>/dev/null && fail "the program did not end"
    wait "$pid"
    status=$?
    pid=
    [ "$status" = 0 ] || fail "the program ended with status $status"
}
