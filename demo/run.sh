#!/bin/sh
# The demo bench: one foot looked at closely, the whole crew against every last, what their try-ons teach,
# a pair that arrived, and all of it kept.
# Ends as `heelball choose` does: 0, or 1 where someone is to be referred or no label serves.
cd "$(dirname "$0")/.." || exit 70
PATH="$PWD/.venv/bin:$PATH"

show() {
    echo "\$ heelball $1"
    eval "heelball $1"
}

show "foot demo/wearers/lead.toml" || exit
echo
show "choose demo/wearers/*.toml demo/crew.csv --lasts demo/lasts --detail 1"
answered=$?
[ "$answered" -le 1 ] || exit "$answered"
echo
# What is learned, and records, in a folder of their own, removed again however this ends.
trap 'exit 130' HUP INT TERM
HEELBALL_DATA="$(mktemp -d)" || exit 70
trap 'rm -rf "$HEELBALL_DATA"' EXIT
export HEELBALL_DATA
show "learn demo/tryons.csv --lasts demo/lasts --wearers demo/wearers/*.toml demo/crew.csv --out \"\$HEELBALL_DATA\"/runs.json" || exit
echo
show 'choose demo/wearers/lead.toml --lasts demo/lasts --runs "$HEELBALL_DATA"/runs.json --detail 1'
by_runs=$?
[ "$by_runs" -le 1 ] || exit "$by_runs"
echo
show 'guide SF30 --lasts demo/lasts --runs "$HEELBALL_DATA"/runs.json' || exit
echo
show "check demo/wearers/sawyer.toml --last TD2 --size 10 --width D --lasts demo/lasts --left ball=right,toe=right,breadth=little --right ball=much,toe=right --flex-line 207 --days-left 12" || exit

echo
echo "The same crew and lasts kept as records, in a folder that is removed again."
echo
show "records import demo/wearers demo/crew.csv demo/lasts" || exit
show "records check" || exit
show "records backup" || exit
show 'records export "$HEELBALL_DATA"/taken-out' || exit

cat <<'END'

To open the bench on them, with records in a folder of your own:

    export PATH="$PWD/.venv/bin:$PATH" HEELBALL_DATA="$(mktemp -d)"
    heelball records import demo/wearers demo/crew.csv demo/lasts
    heelball bench
END
exit "$answered"
