#!/bin/sh
# The demo bench: one foot looked at closely, then the whole crew against every last.
# Ends as `heelball choose` does: 0, or 1 where someone is to be referred or no label serves.
cd "$(dirname "$0")/.." || exit 70
PATH="$PWD/.venv/bin:$PATH"

echo "\$ heelball foot demo/wearers/lead.toml"
heelball foot demo/wearers/lead.toml || exit
echo
echo "\$ heelball choose demo/wearers/*.toml demo/crew.csv --lasts demo/lasts --detail 1"
exec heelball choose demo/wearers/*.toml demo/crew.csv --lasts demo/lasts --detail 1
